"""Fences: posts, rails or mesh, and concrete in post holes."""

from decimal import Decimal

from pydantic import Field, ValidationInfo, field_validator
from pydantic_core import PydanticCustomError
from swardcost_model.values import Percent, Quantity

from swardcost_api.engine.quantities.fences import fence_line, post_footings, rails_and_mesh
from swardcost_api.engine.quantities.working import Steps, fits
from swardcost_api.methods.area_work import CREW_TIME, MACHINE_TIME
from swardcost_api.methods.cautions import BURIED_UTILITIES, DEFER, GUARDS, HOT_AND_CAUSTIC
from swardcost_api.methods.feature_work import (
    LineWork,
    Material,
    stated,
    steps_of_goods,
    steps_of_line_time,
    steps_of_material,
)  # fmt: skip
from swardcost_api.methods.frame import (
    Example,
    Length,
    Measure,
    MeasureNote,
    Method,
    Parameters,
    ShortLength,
    measures_of,
)  # fmt: skip
from swardcost_api.units import to_si


class Mesh(Parameters):
    """Mesh, netting or boards over the whole height."""

    height: ShortLength = Field(description="Height.", examples=[{"value": "4", "unit": "foot"}])
    waste_percent: Percent = Field(
        default=Decimal(0), validate_default=True, description="Waste in percent of the area.", examples=["5"]
    )


class Footing(Material):
    """Concrete around each post."""

    hole_diameter: ShortLength = Field(
        description="Diameter of the hole.", examples=[{"value": "12", "unit": "inch"}]
    )
    hole_depth: ShortLength = Field(
        description="Depth of the hole.", examples=[{"value": "30", "unit": "inch"}]
    )
    post_diameter: ShortLength = Field(
        description="Diameter of the post in the hole.", examples=[{"value": "4", "unit": "inch"}]
    )

    @field_validator("post_diameter")
    @classmethod
    def _the_post_fits_its_hole(cls, post: Quantity, info: ValidationInfo) -> Quantity:
        hole = info.data.get("hole_diameter")
        if hole is not None and fits(to_si(hole, "length"), to_si(post, "length")):
            raise PydanticCustomError(
                "post_in_hole", "less than the diameter of the hole, {value} {unit}",
                {"value": str(hole.value), "unit": hole.unit},
            )  # fmt: skip
        return post


class Fence(LineWork):
    """Parameters of a fence."""

    stretches: list[Length] = Field(
        min_length=1, max_length=200,
        description="Straight stretches between ends, corners and gates, in order, without the gates themselves.",
        examples=[[{"value": "100", "unit": "foot"}, {"value": "60", "unit": "foot"}]],
    )  # fmt: skip
    post_spacing: ShortLength = Field(
        description="Largest distance of posts; evened out within a stretch.",
        examples=[{"value": "8", "unit": "foot"}],
    )
    gates: int = Field(
        default=0, strict=True, ge=0, le=200, description="Gates, each between two posts.", examples=[1]
    )
    closed: bool = Field(
        default=False, strict=True, description="Whether the fence closes on itself: its first post is its last.",
        examples=[False],
    )  # fmt: skip
    rails_per_space: int | None = Field(
        default=None, strict=True, ge=1, le=20, description="Rails from post to post.", examples=[3]
    )
    mesh: Mesh | None = Field(default=None, description="Mesh, netting or boards.")
    footing: Footing | None = Field(
        default=None, description="Concrete around posts; left out for driven posts."
    )


def _take_off(parameters: Fence, area_m2: float) -> tuple[Measure, ...]:
    mesh = parameters.mesh
    line = fence_line(
        stretches_m=[to_si(stretch, "length") for stretch in parameters.stretches],
        post_spacing_m=to_si(parameters.post_spacing, "length"),
        gates=parameters.gates,
        closed=parameters.closed,
    )
    rails = rails_and_mesh(
        post_spaces=line.spaces,
        fence_length_m=line.length_m,
        rails_per_space=parameters.rails_per_space,
        mesh_height_m=None if mesh is None else to_si(mesh.height, "length"),
    )
    steps = line.steps | rails.steps
    if parameters.gates:
        steps |= stated("gates", parameters.gates, "each")
    if mesh is not None and rails.mesh_area_m2 is not None:
        steps |= steps_of_goods("mesh", rails.mesh_area_m2, "mesh area", "square_meter", mesh.waste_percent)
    if parameters.footing is not None:
        steps |= _footings(parameters.footing, line.posts)
    return measures_of(MEASURES, steps | steps_of_line_time(parameters, line.length_m, "fence length"))


def _footings(footing: Footing, posts: int) -> Steps:
    holes = post_footings(
        posts=posts,
        hole_diameter_m=to_si(footing.hole_diameter, "length"),
        hole_depth_m=to_si(footing.hole_depth, "length"),
        post_diameter_m=to_si(footing.post_diameter, "length"),
    )
    return holes.steps | steps_of_material("concrete", footing, holes.concrete_volume_m3, "concrete volume")


MEASURES = (
    MeasureNote("fence_length", "meter", "Length of all stretches, without gates."),
    MeasureNote("post_spaces", "each", "Spaces between posts, without gates."),
    MeasureNote("posts", "each", "Posts, with those at ends, corners and gates."),
    MeasureNote("gates", "each", "Gates; given with `gates`."),
    MeasureNote("rails", "each", "Whole rails, each as long as a space; given with `rails_per_space`."),
    MeasureNote("mesh_area", "square_meter", "Mesh in place; given with `mesh`."),
    MeasureNote("mesh_to_order", "square_meter", "Mesh with waste."),
    MeasureNote(
        "concrete_volume",
        "cubic_meter",
        "Concrete in place, around the posts; given with `footing`. Soil of the holes is taken to stay.",
    ),
    MeasureNote("concrete_to_bring_in", "cubic_meter", "Concrete with allowance."),
    MeasureNote("concrete_mass", "kilogram", "Mass of that; given with its bulk density."),
    MACHINE_TIME,
    CREW_TIME,
)

METHOD = Method(
    name="fence",
    title="Fence",
    summary=(
        "Posts with those at ends, corners and gates, rails or mesh, and concrete in post holes, by stretches that are "
        "stated; and hours along the line."
    ),
    parameters=Fence,
    take_off=_take_off,
    measures=MEASURES,
    sources=("Common practice: posts are spaces plus one", "Geometry of the cylinder"),
    example=Example(
        parameters={
            "stretches": [{"value": "100", "unit": "foot"}, {"value": "60", "unit": "foot"}],
            "post_spacing": {"value": "8", "unit": "foot"},
            "gates": 1,
            "closed": False,
            "rails_per_space": 3,
            "mesh": {"height": {"value": "4", "unit": "foot"}, "waste_percent": "5"},
            "footing": {
                "hole_diameter": {"value": "12", "unit": "inch"},
                "hole_depth": {"value": "30", "unit": "inch"},
                "post_diameter": {"value": "4", "unit": "inch"},
                "allowance_percent": "10",
                "bulk_density": {"value": "150", "unit": "pound_per_cubic_foot"},
            },
            "production_rate": {"value": "16", "unit": "foot_per_hour"},
            "crew_size": 2,
        },
        area=None,
        expected={
            "fence_length": 48.768,
            "post_spaces": 21,
            "posts": 23,
            "gates": 1,
            "rails": 63,
            "mesh_area": 59.4579456,
            "mesh_to_order": 62.43084288,
            "concrete_volume": 1.136711076,
            "concrete_to_bring_in": 1.250382183,
            "concrete_mass": 3004.380181,
            "machine_time": 10.0,
            "crew_time": 20.0,
        },
        source="Geometry: 100 and 60 ft at 8 ft take 13 and 8 spaces; with a gate between them 23 posts",
    ),
    needs_areas=False,
    cautions=(BURIED_UTILITIES, GUARDS, HOT_AND_CAUSTIC, DEFER),
)
