"""A mount in the hands of its shop: the flats by its bend rules, and what making everything takes."""

from __future__ import annotations

from dataclasses import dataclass

from mountgen.detail.records import MadePart
from mountgen.fabrication.times import Making, making, works
from mountgen.sheet.flat import FlatPattern
from mountgen.shop.flats import flat_of
from mountgen.shop.records import Shop
from mountgen.study import Study


@dataclass(frozen=True)
class ShopWork:
    """What the shop makes the mount's sheet parts from, by part number, and what making everything takes."""

    shop: Shop
    flats: dict[str, FlatPattern]
    making: Making


def shop_work(study: Study) -> ShopWork:
    """The flats by the shop's bend rules, and what making the mount takes at its rates.

    ShopError for what the rates do not know.
    """
    detail, shop = study.detail, study.scene.shop
    flats = {part.number: flat_of(part, shop) for part in detail.sheets}
    return ShopWork(shop, flats, making(works(detail, flats, densities_of(study)), shop.rates))


def densities_of(study: Study) -> dict[str, float]:
    """kg/m3 of every material that a made part is of."""
    made: tuple[MadePart, ...] = (*study.detail.sheets, *study.detail.extrusions)
    catalogue = study.scene.catalogue
    return {part.material: catalogue.material(part.material).density_kg_per_m3 for part in made}
