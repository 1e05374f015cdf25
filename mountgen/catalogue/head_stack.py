"""Several like heads on one bracket, seen as one head."""

from __future__ import annotations

from pydantic import Field

from mountgen.catalogue.records import Head, Positive


class HeadStack(Head):
    """Like heads one over the other on one bracket, `pitch` mm apart along the column: the whole as one head
    whose frame is that of the lowest. `single` is one of them; print height and rates are its own."""

    single: Head
    count: int = Field(ge=2, le=3)
    pitch: Positive

    @property
    def singles(self) -> tuple[tuple[Head, float], ...]:
        return tuple((self.single, self.pitch * number) for number in range(self.count))


def stack_of(single: Head, count: int, pitch: float) -> Head:
    """Several like heads as one; one alone is itself."""
    if count == 1:
        return single
    pattern = tuple(
        hole.model_copy(update={"at": (hole.at[0], hole.at[1] + pitch * number)})
        for number in range(count)
        for hole in single.pattern
    )
    whole = {
        "title": f"{count} x {single.title}",
        "u_above": single.u_above + pitch * (count - 1),
        "mass_kg": single.mass_kg * count,
        "pattern": pattern,
    }
    own = {name: getattr(single, name) for name in Head.model_fields}
    return HeadStack(**{**own, **whole}, single=single, count=count, pitch=pitch)
