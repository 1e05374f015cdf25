"""The shop that tests have their mounts made by."""

from mountgen.catalogue.reader import profiles_folder
from mountgen.shop.reader import USUAL_SHOP, read_shop

SHOP = read_shop(profiles_folder() / USUAL_SHOP)
