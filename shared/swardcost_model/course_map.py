"""The course as a map: its areas as GeoJSON (RFC 7946), in and out, and the quantities of a project on it."""

from typing import Annotated, Literal
from uuid import UUID

from pydantic import BaseModel, ConfigDict, Field

from swardcost_model.course import Area, AreaKind
from swardcost_model.estimates import Figure
from swardcost_model.values import Answer, Quantity

MAX_FEATURES = 2_000
"""Features that a map to be imported may have."""

Position = Annotated[
    list[float],
    Field(
        min_length=2,
        description="Longitude and latitude in degrees (WGS 84); a height, and anything after it, is ignored.",
    ),
]
LinearRing = Annotated[
    list[Position], Field(min_length=4, description="Closed: the last position is the first.")
]
Rings = Annotated[list[LinearRing], Field(min_length=1, description="The outer ring, then those of holes.")]


class PolygonGeometry(Answer):
    """One surface: an outer ring, counterclockwise, and holes in it, clockwise."""

    type: Literal["Polygon"]
    coordinates: Rings


class MultiPolygonGeometry(Answer):
    """Several surfaces that are one area."""

    type: Literal["MultiPolygon"]
    coordinates: Annotated[list[Rings], Field(min_length=1)]


AreaGeometry = Annotated[PolygonGeometry | MultiPolygonGeometry, Field(discriminator="type")]


class AreaProperties(Answer):
    """What is known about an area, beside its place."""

    id: UUID
    kind: AreaKind
    name: str
    hole: int | None
    size: Quantity | None
    size_m2: float | None
    perimeter_m: float | None


class AreaFeature(Answer):
    """An area on the map; one that was never drawn has no geometry."""

    type: Literal["Feature"] = "Feature"
    id: UUID
    geometry: AreaGeometry | None
    properties: AreaProperties


class AreaMap(Answer):
    """All areas of a course, by name."""

    type: Literal["FeatureCollection"] = "FeatureCollection"
    features: list[AreaFeature]


class WorkOnArea(Answer):
    """A scope item on one area: the area's share, by its size, of every measure that can be shared."""

    scope_item_id: UUID
    scope_item: str
    method: str
    measures: list[Figure] = Field(description="None at all for an area without a size.")


class WorkedAreaProperties(AreaProperties):
    """An area with the work that a project's scope does on it."""

    work: list[WorkOnArea]


class WorkedAreaFeature(Answer):
    """An area on the map of a project."""

    type: Literal["Feature"] = "Feature"
    id: UUID
    geometry: AreaGeometry | None
    properties: WorkedAreaProperties


class ProjectMap(Answer):
    """The areas that a project's scope names, by name, with the quantities as the areas are now."""

    type: Literal["FeatureCollection"] = "FeatureCollection"
    features: list[WorkedAreaFeature]


class _Foreign(BaseModel):
    """A part of a map; members that are not known here are ignored."""

    model_config = ConfigDict(extra="allow")


class MapUploadProperties(_Foreign):
    """What an area to be imported is; names of properties are matched whatever their case."""

    kind: str | None = Field(
        default=None,
        description="As `AreaKind`, in any case. Also read from `area_kind`.",
        examples=["green"],
    )
    name: str | float | None = Field(
        default=None,
        description="Unique on the course; a number is taken as its text. Also read from `title`.",
        examples=["Green 7"],
    )
    hole: int | str | None = Field(
        default=None,
        description="The hole it belongs to, if any. Also read from `hole_number`.",
        examples=[7],
    )
    size: Quantity | None = Field(
        default=None, description="Read for an area without geometry only; a drawn one is measured."
    )
    skip: bool = Field(default=False, description="`true`: leave this feature out.")


class SkippedGeometry(_Foreign):
    """A geometry that encloses no surface; allowed only with the property `skip`."""

    type: Literal["Point", "MultiPoint", "LineString", "MultiLineString", "GeometryCollection"]


class MapUploadFeature(_Foreign):
    """An area to be imported."""

    type: Literal["Feature"]
    geometry: PolygonGeometry | MultiPolygonGeometry | SkippedGeometry | None
    properties: MapUploadProperties


class MapUpload(_Foreign):
    """A GeoJSON FeatureCollection (RFC 7946) of areas to be imported."""

    type: Literal["FeatureCollection"]
    features: Annotated[list[MapUploadFeature], Field(min_length=1, max_length=MAX_FEATURES)]


class MapNote(Answer):
    """Something in an imported map that was not as it should be and has been mended."""

    pointer: str = Field(description="JSON Pointer (RFC 6901) into the map.")
    mended: str


class AreasMapped(Answer):
    """What an import of a map did: areas added, changed, found unchanged, and features skipped on request."""

    added: int
    changed: int
    unchanged: int
    skipped: int
    notes: list[MapNote]
    areas: list[Area]
