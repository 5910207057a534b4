"""What the service and its clients both speak: values, requests, answers and problems."""
