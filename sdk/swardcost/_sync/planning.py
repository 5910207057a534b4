"""Courses, areas, the catalog and the methods."""

from collections.abc import Iterator
from pathlib import Path
from typing import Literal
from uuid import UUID

from swardcost_model.catalog import (
    Edition,
    EditionChange,
    EditionExport,
    EditionStatus,
    Item,
    ItemChange,
    ItemKind,
    ItemRate,
    ItemsPut,
    NewEdition,
    NewItem,
    NewVendor,
    NewVendorTerms,
    Vendor,
    VendorChange,
    VendorTerms,
    VendorTermsChange,
)
from swardcost_model.course import (
    Area,
    AreaChange,
    AreaKind,
    AreasAdded,
    Course,
    CourseChange,
    NewArea,
    NewCourse,
)
from swardcost_model.course_map import AreaMap, AreasMapped
from swardcost_model.course_sanity import CourseSanity
from swardcost_model.methods import MethodDescription, MethodList, UnitList
from swardcost_model.price_moves import CarriedForward, CarryForward, EditionComparison, PriceHistory

from swardcost._sync.session import Session

_CLUB = "/v1/clubs/{club}"
_GEOJSON = "application/geo+json"
_XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


class Courses:
    """Courses of the club."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def create(self, new: NewCourse) -> Course:
        """Add a course."""
        return self._session.post(Course, f"{_CLUB}/courses", new)

    def list(self) -> Iterator[Course]:
        """Every course, by name."""
        return self._session.pages(Course, f"{_CLUB}/courses")

    def read(self, course_id: UUID) -> Course:
        """One course."""
        return self._session.get(Course, f"{_CLUB}/courses/{course_id}")

    def change(self, course_id: UUID, change: CourseChange, version: int) -> Course:
        """Rename the course that is still at `version`."""
        return self._session.replace(Course, f"{_CLUB}/courses/{course_id}", change, version)

    def sanity(self, course_id: UUID, holes: int | None = None) -> CourseSanity:
        """The sizes of a course against what is usual."""
        return self._session.get(CourseSanity, f"{_CLUB}/courses/{course_id}/sanity", holes=holes)

    def map(self, course_id: UUID) -> AreaMap:
        """All areas of a course with their outlines."""
        return self._session.get(AreaMap, f"{_CLUB}/courses/{course_id}/areas/map")

    def map_geojson(self, course_id: UUID) -> str:
        """All areas of a course as the GeoJSON that `areas.upload_map` takes."""
        return self._session.text(f"{_CLUB}/courses/{course_id}/areas/map", accept=_GEOJSON)

    def delete(self, course_id: UUID, version: int) -> None:
        """Delete an empty course."""
        self._session.remove(f"{_CLUB}/courses/{course_id}", version)


class Areas:
    """Areas of the club's courses."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def create(self, course_id: UUID, new: NewArea) -> Area:
        """Add an area to a course."""
        return self._session.post(Area, f"{_CLUB}/courses/{course_id}/areas", new)

    def upload(self, course_id: UUID, csv: str | bytes | Path) -> AreasAdded:
        """Add all areas of a CSV text or file (`kind,hole,name,size,unit`), or none."""
        return self._session.upload(AreasAdded, f"{_CLUB}/courses/{course_id}/areas/upload", csv)

    def upload_map(
        self, course_id: UUID, geojson: str | bytes | Path, replace: bool = False
    ) -> AreasMapped:
        """Add the areas of a GeoJSON text or file, or none; with `replace`, redraw those of the same name."""
        return self._session.upload(
            AreasMapped, f"{_CLUB}/courses/{course_id}/areas/map", geojson, _GEOJSON, replace=replace
        )

    def list(
        self,
        course_id: UUID | None = None,
        kind: AreaKind | None = None,
        hole: int | None = None,
        sort: Literal["name", "-name"] | None = None,
    ) -> Iterator[Area]:
        """Every area, by name; all, or those of a course, kind or hole."""
        return self._session.pages(
            Area, f"{_CLUB}/areas", course_id=course_id, kind=kind, hole=hole, sort=sort
        )

    def read(self, area_id: UUID) -> Area:
        """One area."""
        return self._session.get(Area, f"{_CLUB}/areas/{area_id}")

    def change(self, area_id: UUID, change: AreaChange, version: int) -> Area:
        """Replace the area that is still at `version`."""
        return self._session.replace(Area, f"{_CLUB}/areas/{area_id}", change, version)

    def delete(self, area_id: UUID, version: int) -> None:
        """Delete an area that no scope uses."""
        self._session.remove(f"{_CLUB}/areas/{area_id}", version)


class Methods:
    """Methods of work, and units."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def list(self) -> MethodList:
        """All methods."""
        return self._session.get(MethodList, "/v1/methods")

    def read(self, name: str) -> MethodDescription:
        """One method: parameters, measures, sources, example, cautions."""
        return self._session.get(MethodDescription, f"/v1/methods/{name}")

    def units(self) -> UnitList:
        """All units."""
        return self._session.get(UnitList, "/v1/units")


class Vendors:
    """Vendors of the club."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def create(self, new: NewVendor) -> Vendor:
        """Add a vendor."""
        return self._session.post(Vendor, f"{_CLUB}/vendors", new)

    def list(self) -> Iterator[Vendor]:
        """Every vendor, by name."""
        return self._session.pages(Vendor, f"{_CLUB}/vendors")

    def read(self, vendor_id: UUID) -> Vendor:
        """One vendor."""
        return self._session.get(Vendor, f"{_CLUB}/vendors/{vendor_id}")

    def change(self, vendor_id: UUID, change: VendorChange, version: int) -> Vendor:
        """Replace the vendor that is still at `version`."""
        return self._session.replace(Vendor, f"{_CLUB}/vendors/{vendor_id}", change, version)

    def delete(self, vendor_id: UUID, version: int) -> None:
        """Delete a vendor that no item names."""
        self._session.remove(f"{_CLUB}/vendors/{vendor_id}", version)


class Editions:
    """Editions of the catalog."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def create(self, new: NewEdition) -> Edition:
        """Make a draft, empty or with the items and vendors' terms of another edition."""
        return self._session.post(Edition, f"{_CLUB}/editions", new)

    def list(self, status: EditionStatus | None = None) -> Iterator[Edition]:
        """Every edition, latest first."""
        return self._session.pages(Edition, f"{_CLUB}/editions", status=status)

    def read(self, edition_id: UUID) -> Edition:
        """One edition."""
        return self._session.get(Edition, f"{_CLUB}/editions/{edition_id}")

    def change(self, edition_id: UUID, change: EditionChange, version: int) -> Edition:
        """Rename or redate the draft that is still at `version`."""
        return self._session.replace(Edition, f"{_CLUB}/editions/{edition_id}", change, version)

    def compare(self, edition_id: UUID, earlier_edition_id: UUID) -> EditionComparison:
        """What is different in an edition from an earlier one."""
        return self._session.get(
            EditionComparison,
            f"{_CLUB}/editions/{edition_id}/comparison",
            earlier_edition_id=earlier_edition_id,
        )

    def carry_forward(self, edition_id: UUID, request: CarryForward) -> CarriedForward:
        """Take the prices of a published edition into a draft, moved by a percentage or an index."""
        return self._session.post(
            CarriedForward, f"{_CLUB}/editions/{edition_id}/carry-forward", request
        )

    def publish(self, edition_id: UUID) -> Edition:
        """Publish a draft; it cannot be changed from then on."""
        return self._session.post(Edition, f"{_CLUB}/editions/{edition_id}/publish")

    def delete(self, edition_id: UUID, version: int) -> None:
        """Delete a draft with its items."""
        self._session.remove(f"{_CLUB}/editions/{edition_id}", version)


class Items:
    """Items of an edition."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def create(self, edition_id: UUID, new: NewItem) -> Item:
        """Add an item to a draft."""
        return self._session.post(Item, f"{_CLUB}/editions/{edition_id}/items", new)

    def upload(self, edition_id: UUID, csv: str | bytes | Path) -> ItemsPut:
        """Add or replace all items of a CSV text or file, or none."""
        return self._session.upload(ItemsPut, f"{_CLUB}/editions/{edition_id}/items/upload", csv)

    def upload_xlsx(self, edition_id: UUID, workbook: bytes | Path) -> ItemsPut:
        """Add or replace all items of a workbook's sheet Items, or none."""
        return self._session.upload(
            ItemsPut, f"{_CLUB}/editions/{edition_id}/items/upload", workbook, _XLSX
        )

    def list(
        self,
        edition_id: UUID,
        kind: ItemKind | None = None,
        vendor_id: UUID | None = None,
        account: str | None = None,
        unpriced: bool | None = None,
        sort: Literal["code", "-code"] | None = None,
    ) -> Iterator[Item]:
        """Every item, by code; all, or those of a kind, vendor or account, or without a price."""
        return self._session.pages(
            Item, f"{_CLUB}/editions/{edition_id}/items", kind=kind, vendor_id=vendor_id, account=account,
            unpriced=unpriced, sort=sort,
        )  # fmt: skip

    def export(self, edition_id: UUID) -> EditionExport:
        """The edition with all its items and its vendors' terms."""
        return self._session.get(EditionExport, f"{_CLUB}/editions/{edition_id}/items/export")

    def export_csv(self, edition_id: UUID) -> str:
        """All items as the CSV that `upload` takes."""
        return self._session.text(f"{_CLUB}/editions/{edition_id}/items/export")

    def export_xlsx(self, edition_id: UUID) -> bytes:
        """The edition as the workbook that `upload_xlsx` takes."""
        path = f"{_CLUB}/editions/{edition_id}/items/export"
        return (self._session.send("GET", path, accept=_XLSX)).content

    def read(self, edition_id: UUID, code: str) -> Item:
        """One item."""
        return self._session.get(Item, f"{_CLUB}/editions/{edition_id}/items/{code}")

    def price_history(self, code: str) -> PriceHistory:
        """The price of an item in every published edition, the oldest first."""
        return self._session.get(PriceHistory, f"{_CLUB}/price-history/{code}")

    def price_history_svg(self, code: str) -> str:
        """The same as a chart in SVG."""
        return self._session.text(f"{_CLUB}/price-history/{code}", accept="image/svg+xml")

    def rate(self, edition_id: UUID, code: str) -> ItemRate:
        """How an item's hourly rate is built up."""
        return self._session.get(ItemRate, f"{_CLUB}/editions/{edition_id}/items/{code}/rate")

    def change(self, edition_id: UUID, code: str, change: ItemChange, version: int) -> Item:
        """Replace the item that is still at `version`."""
        return self._session.replace(
            Item, f"{_CLUB}/editions/{edition_id}/items/{code}", change, version
        )

    def delete(self, edition_id: UUID, code: str, version: int) -> None:
        """Delete an item of a draft."""
        self._session.remove(f"{_CLUB}/editions/{edition_id}/items/{code}", version)


class TermsOfVendors:
    """Vendors' terms in an edition."""

    def __init__(self, session: Session) -> None:
        self._session = session

    def create(self, edition_id: UUID, new: NewVendorTerms) -> VendorTerms:
        """Give a vendor terms in a draft."""
        return self._session.post(VendorTerms, f"{_CLUB}/editions/{edition_id}/vendor-terms", new)

    def list(self, edition_id: UUID) -> Iterator[VendorTerms]:
        """Every vendor's terms in an edition, by the vendors' names."""
        return self._session.pages(VendorTerms, f"{_CLUB}/editions/{edition_id}/vendor-terms")

    def read(self, edition_id: UUID, vendor_id: UUID) -> VendorTerms:
        """A vendor's terms in an edition."""
        path = f"{_CLUB}/editions/{edition_id}/vendor-terms/{vendor_id}"
        return self._session.get(VendorTerms, path)

    def change(
        self, edition_id: UUID, vendor_id: UUID, change: VendorTermsChange, version: int
    ) -> VendorTerms:
        """Replace a vendor's terms that are still at `version`."""
        path = f"{_CLUB}/editions/{edition_id}/vendor-terms/{vendor_id}"
        return self._session.replace(VendorTerms, path, change, version)

    def delete(self, edition_id: UUID, vendor_id: UUID, version: int) -> None:
        """Take a vendor's terms out of a draft."""
        self._session.remove(f"{_CLUB}/editions/{edition_id}/vendor-terms/{vendor_id}", version)
