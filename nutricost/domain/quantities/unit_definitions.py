"""Unit definitions for pint: only what kitchens, scales, labels, meters and purses use.

Weights and volumes are the exact US customary values (NIST Handbook 44, appendix C). The household
measures inside a label's serving size are other units: `label_cup` and so on, 21 CFR
101.9(b)(5)(viii). Each currency, servings, packages and trays have dimensions of their own, so that a
ratio and its inverse cannot be mixed up.
"""

from __future__ import annotations

DEFINITIONS: tuple[str, ...] = (
    # mass
    "g = [mass] = g = gram = grams = gm",
    "mg = 0.001 * g = mg = milligram = milligrams",
    "ug = 0.000001 * g = ug = microgram = micrograms = mcg",
    "kg = 1000 * g = kg = kilogram = kilograms = kilo = kilos",
    "lb = 453.59237 * g = lb = lbs = pound = pounds",
    "oz = 28.349523125 * g = oz = ounce = ounces",
    "label_oz = 28 * g",
    # volume
    "mL = [volume] = mL = ml = milliliter = milliliters = millilitre = millilitres = cc",
    "L = 1000 * mL = L = l = liter = liters = litre = litres",
    "dL = 100 * mL = dL = dl",
    "cL = 10 * mL = cL = cl",
    "gal = 3785.411784 * mL = gal = gallon = gallons",
    "qt = 946.352946 * mL = qt = quart = quarts",
    "pt = 473.176473 * mL = pt = pint = pints",
    "cup = 236.5882365 * mL = cup = cups = c",
    "floz = 29.5735295625 * mL = floz = fl_oz = fluid_ounce = fluid_ounces",
    "tbsp = 14.78676478125 * mL = tbsp = tablespoon = tablespoons = Tbsp = T",
    "tsp = 4.92892159375 * mL = tsp = teaspoon = teaspoons = t",
    "label_cup = 240 * mL",
    "label_tbsp = 15 * mL",
    "label_tsp = 5 * mL",
    "label_floz = 30 * mL",
    # energy: 1 kcal = 4.184 kJ (USDA Agriculture Handbook 74); 1 kWh = 3600 kJ (SI)
    "kJ = [energy] = kJ = kilojoule = kilojoules",
    "MJ = 1000 * kJ = MJ",
    "kcal = 4.184 * kJ = kcal = kilocalorie = kilocalories = Calorie = Calories = Cal",
    "kWh = 3600 * kJ = kWh = kwh",
    "Wh = 3.6 * kJ = Wh",
    "hundred_kcal = 100 * kcal",
    "thousand_kcal = 1000 * kcal",
    "hundred_g = 100 * g",
    # time
    "h = [time] = h = hour = hours = hr = hrs",
    "min = h / 60 = min = minute = minutes = mins",
    "s = h / 3600 = s = second = seconds = sec",
    "day = 24 * h = day = days = d",
    "week = 168 * h = week = weeks",
    "month = 730.5 * h = month = months",
    "year = 8766 * h = year = years = yr",
    # length and area, for trays and people
    "cm = [length] = cm = centimeter = centimeters = centimetre = centimetres",
    "mm = 0.1 * cm = mm = millimeter = millimeters = millimetre = millimetres",
    "m = 100 * cm = m = meter = meters = metre = metres",
    "inch = 2.54 * cm = inch = in = inches",
    "ft = 30.48 * cm = ft = foot = feet",
    # counted things
    "serving = [serving] = serving = servings",
    "package = [package] = package = packages",
    "bag = [bag] = bag = bags",
    "tray = [tray] = tray = trays",
    "cycle = [cycle] = cycle = cycles",
    "batch = [batch] = batch = batches",
    "person = [person] = person = people",
)

DISPLAY: dict[str, str] = {
    "hundred_kcal": "100 kcal",
    "thousand_kcal": "1000 kcal",
    "hundred_g": "100 g",
    "floz": "fl oz",
}
"""How a unit is written where its name is not fit to read."""

# ISO 4217:2015 codes in use with the number of decimals of the minor unit.
CURRENCIES: dict[str, int] = {
    **dict.fromkeys(
        "AED ALL AMD ANG AOA ARS AUD AWG AZN BAM BBD BDT BGN BMD BND BOB BRL BSD BTN BWP BYN BZD CAD CDF "
        "CHF CNY COP CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD "
        "HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK "
        "MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR PLN QAR RON RSD "
        "RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD TZS "
        "UAH USD UYU UZS VED VES WST XCD YER ZAR ZMW".split(),
        2,
    ),
    **dict.fromkeys("BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF".split(), 0),
    **dict.fromkeys("BHD IQD JOD KWD LYD OMR TND".split(), 3),
}
