"""The table of prices, masses and lives: its draws, its sources, what is refused."""

from __future__ import annotations

import pickle

import numpy as np
import pytest
import ridethrough as rt
from ridethrough.money.prices import AmountRange
from scipy import stats


def test_draws_follow_the_triangles():
    prices = rt.Prices()
    for item, what in (("agm_battery", "price"), ("lithium_battery", "mass_kg"), ("fridge_cover", "price")):
        low, mode, high = prices.items[item][what]
        law = stats.triang((mode - low) / (high - low), low, high - low)
        assert stats.kstest(prices.draw(item, what), law.cdf).pvalue > 1e-6
    assert np.array_equal(prices.draw("agm_battery", "price"), rt.Prices().draw("agm_battery", "price"))
    assert not np.array_equal(prices.draw("agm_battery", "price"), rt.Prices(seed=1).draw("agm_battery", "price"))
    assert repr(prices).startswith("<Prices: ") and " in USD, 2023-25, seed " in repr(prices)
    twice = prices.total([rt.PricedPart("vent_fan"), rt.PricedPart("vent_fan", -1.0)], "price")
    assert not twice.any()  # a part that both have costs no difference
    assert AmountRange.of(np.arange(101.0)) == AmountRange(50, 5, 95)


def test_every_price_says_its_year_and_source():
    prices = rt.Prices()
    assert prices.year and prices.currency
    assert all("memory" in t["source"] or "trade source" in t["source"] for t in [*prices.items.values(), prices.life])


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('year = "2023-25"', "", "currency and year must be given"),
        ("price = [1.7, 2.2, 3.5]", "price = [2.7, 2.2, 3.5]", "agm_battery.price"),
        ("price = [1.7, 2.2, 3.5]", "", "agm_battery.price: must be given"),
        ("agm_years = [3, 6, 10]", "agm_years = 6", "life.agm_years|agm_years"),
        ('currency = "USD"', "currency = ", "not TOML"),
    ],
)
def test_bad_tables(tmp_path, old, new, words):
    text = rt.Prices().path.read_text()
    assert old in text
    (tmp_path / "p.toml").write_text(text.replace(old, new, 1))
    with pytest.raises(rt.InputError, match=words):
        rt.Prices(tmp_path / "p.toml")


def test_an_item_that_is_not_there():
    with pytest.raises(rt.InputError, match="did you mean 'vent_fan'"):
        rt.Prices().draw("vent_fans", "price")


def test_a_table_does_not_change_and_another_one_has_other_draws():
    prices = rt.Prices()
    before = prices.draw("agm_battery", "price")
    with pytest.raises(TypeError):
        prices.items["agm_battery"]["price"] = [1, 2, 3]  # type: ignore[index]
    with pytest.raises(TypeError):
        prices.items["agm_battery"]["price"][0] = 5
    with pytest.raises(TypeError):
        prices.life["agm_years"] = (1, 2, 3)  # type: ignore[index]
    with pytest.raises(ValueError, match="read-only"):
        before[0] = 0
    dear = prices.replace(**{"agm_battery.price": [100, 200, 300], "life.agm_years": (1, 2, 3), "currency": "EUR"})
    assert dear != prices == rt.Prices() and dear.currency == "EUR" and dear.life["agm_years"] == (1, 2, 3)
    assert dear.draw("agm_battery", "price").min() > 100 and np.array_equal(prices.draw("agm_battery", "price"), before)
    assert np.array_equal(dear.draw("agm_battery", "mass_kg"), prices.draw("agm_battery", "mass_kg"))
    mine = prices.replace(mine={"price": [1, 2, 3], "mass_kg": [0, 0, 0], "source": "a bill"})
    assert mine.draw("mine", "mass_kg").max() == 0 and "mine" not in prices.items
    assert pickle.loads(pickle.dumps(dear)) == dear and prices.replace(seed=1) == rt.Prices(seed=1)
    for wrong, words in (
        ({"agm_batery.price": [1, 2, 3]}, "did you mean 'agm_battery'"),
        ({"agm_battery.price": [3, 2, 1]}, "agm_battery.price = .3, 2, 1.: allowed .least, usual, most."),
        ({"mine": {"price": [1, 2, 3]}}, "mine: allowed a table with a source"),
    ):
        with pytest.raises(rt.InputError, match=words):
            prices.replace(**wrong)


def test_a_table_may_have_units(tmp_path):
    """1 lb is 0.45359237 kg, 1 ft 0.3048 m, both exactly (international yard and pound agreement, 1959)."""
    file = tmp_path / "prices.toml"
    shipped = rt.Prices().path.read_text()
    said = shipped.replace("price = [1.7, 2.2, 3.5]", 'price = ["1.7 USD", "USD 2.2", "3.50"]')
    said = said.replace("mass_kg = [0.25, 0.29, 0.32]", 'mass_kg = ["0.55 lb", "0.64 lb", "0.7 lb"]')
    said = said.replace("area_m2 = [0.0045, 0.0050, 0.0060]", 'area_m2 = ["0.045 sq ft", 0.0050, "60 cm**2"]')
    file.write_text(said)
    items = rt.Prices(file).items
    assert items["agm_battery"]["price"] == (1.7, 2.2, 3.5)
    assert items["agm_battery"]["mass_kg"] == pytest.approx([x * 0.45359237 for x in (0.55, 0.64, 0.7)])
    assert items["framed_panel"]["area_m2"] == pytest.approx([0.045 * 0.3048**2, 0.005, 0.006])
    for old, new, told in (
        ('"1.7 USD"', '"1.7 EUR"', "price = '1.7 EUR': allowed a number of USD, the currency of the table"),
        ('"0.55 lb"', '"0.55 ft"', "mass_kg = '0.55 ft': ft measures a length, and this is a mass"),
    ):
        file.write_text(said.replace(old, new))
        with pytest.raises(rt.InputError, match=told):
            rt.Prices(file)
