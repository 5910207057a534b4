"""Maps to send: features, and the square that most tests draw."""

import json
from typing import Any

import httpx
from conftest import Api

GEOJSON = {"Content-Type": "application/geo+json"}


def box(lon: float = -81.0, lat: float = 35.0, side: float = 2e-4) -> list[list[float]]:
    """A ring about 20 m wide, counterclockwise."""
    return [[lon, lat], [lon + side, lat], [lon + side, lat + side], [lon, lat + side], [lon, lat]]


def polygon(*rings: Any) -> dict[str, Any]:
    return {"type": "Polygon", "coordinates": list(rings) or [box()]}


def feature(name: str = "Green 1", geometry: Any = "box", **properties: Any) -> dict[str, Any]:
    return {
        "type": "Feature", "geometry": polygon() if geometry == "box" else geometry,
        "properties": {"kind": "green", "name": name} | properties,
    }  # fmt: skip


def collection(*features: Any, **members: Any) -> dict[str, Any]:
    return {"type": "FeatureCollection", "features": list(features)} | members


def send(api: Api, course: str, document: Any, replace: bool = False) -> httpx.Response:
    """Post a map, given as an object or as raw content."""
    content = document if isinstance(document, bytes) else json.dumps(document).encode()
    query = "?replace=true" if replace else ""
    return api.post(f"/courses/{course}/areas/map{query}", content=content, headers=GEOJSON)


def imported(api: Api, course: str, *features: Any, replace: bool = False) -> dict[str, Any]:
    """Import features and insist that they were taken."""
    response = send(api, course, collection(*features), replace)
    assert response.status_code == 201, response.text
    answer: dict[str, Any] = response.json()
    return answer


def a_course(api: Api, name: str = "Lower") -> str:
    course_id: str = api.created("/courses", {"name": name})["id"]
    return course_id
