"""The fields of a dish, in the order in which a bench meets them."""

from __future__ import annotations

from collections.abc import Mapping

from core.model import FoodClass, Qty, StationKind, say
from core.trial.fields import NONE, Field, Kind, Tap

_NO = ("no", "none", "nada", "ninguno", "ninguna", "nothing", "sin")

NAME = Field(
    "name", Kind.NAME, ("name", "called", "nombre", "se llama"), say("name"),
    say("What is the dish called?"), must=True,
)  # fmt: skip

DISH_FIELDS: tuple[Field, ...] = (
    Field(
        "pieces", Kind.COUNT, ("pieces", "piezas", "pcs", "count"), say("pieces"),
        say("How many pieces are in the test?"),
        tuple(Tap(say("{n}", n=n), str(n)) for n in (4, 2, 6, 1)), must=True,
    ),
    Field(
        "bought", Kind.MASS, ("bought", "as bought", "as purchased", "comprado", "bruto"),
        say("weight as bought"), say("What do they weigh as bought, all together? Like 978 g"),
        must=True,
    ),
    Field(
        "trimmed", Kind.MASS, ("trimmed", "after trim", "trim", "limpio", "recortado"),
        say("weight trimmed"), say("What do they weigh trimmed and raw, all together?"),
        (Tap(say("no trim"), "same", ("no trim", "same", "igual", "sin limpiar", "sin merma")),),
        must=True,
    ),
    Field(
        "class", Kind.WORD, ("class", "clase", "tipo"), say("kind of food"),
        say("What is it? Or say: whole roast, fish, egg, vegetable"),
        (
            Tap(say("whole red meat"), FoodClass.A1.value,
                ("whole red meat", "red meat", "beef", "lamb", "pork", "steak", "carne roja",
                 "carne roja entera", "cordero", "ternera", "cerdo", "vaca")),
            Tap(say("minced or injected"), FoodClass.A2.value,
                ("minced or injected", "minced", "mince", "burger", "sausage", "picada",
                 "picada o inyectada", "picado", "carne picada", "salchicha")),
            Tap(say("poultry or stuffed"), FoodClass.A3.value,
                ("poultry or stuffed", "poultry", "chicken", "turkey", "duck", "stuffed", "ave",
                 "ave o relleno", "pollo", "pavo", "pato", "relleno")),
            Tap(say("vegetable"), FoodClass.PLANT.value,
                ("vegetable", "vegetables", "veg", "plant", "verdura", "verduras", "vegetal")),
        ),
    ),
    Field(
        "thickness", Kind.LENGTH, ("thickness", "thick", "grosor", "grueso", "gordo"),
        say("thickness"), say("How thick is a piece? Like 2.5 cm"), must=True,
    ),
    Field(
        "brined", Kind.MASS,
        ("brined", "after brine", "after the brine", "tras salmuera", "tras la salmuera"),
        say("weight after brine"), say("What do they weigh after the brine?"),
        (Tap(say("no brine"), NONE, ("no brine", "sin salmuera", "not brined", *_NO)),),
    ),
    Field(
        "brine_time", Kind.MINUTES, ("brine time", "in brine", "tiempo de salmuera", "en salmuera"),
        say("time in brine"), say("How long were they in the brine? Like 3 h"),
    ),
    Field(
        "fire", Kind.WORD, ("fire", "on the", "fuego"), say("fire"),
        say("On which fire, first?"),
        (
            Tap(say("smoker"), StationKind.SMOKER.value, ("smoker", "smoke", "pit", "ahumador")),
            Tap(say("grill"), StationKind.GRILL.value, ("grill", "parrilla", "brasa")),
            Tap(say("oven"), StationKind.OVEN.value, ("oven", "horno")),
            Tap(say("gas ring"), StationKind.RING.value, ("gas ring", "ring", "hornillo", "fogon")),
        ),
        must=True,
    ),
    Field(
        "pit", Kind.FIRE, ("pit", "pit temperature", "fire temperature", "temperatura", "camara"),
        say("fire temperature"), say("How hot is it at grate height? Like 110"), must=True,
    ),
    Field(
        "start", Kind.CORE, ("start", "start core", "goes on at", "inicio", "entra a"),
        say("core at the start"), say("Core as it goes on? Like 5"), must=True,
    ),
    Field(
        "cores", Kind.SERIES, ("cores", "core", "centro", "centros"), say("core over time"),
        say("Core every ten minutes: minutes and °C, like 10 19, 20 30, 31 47. The last as it "
            "comes off"),
        (Tap(say("it is off"), "off", ("it is off", "off", "thats all", "that is all", "fuera",
                                       "ya esta", "esta fuera", "es todo")),),
        must=True,
    ),
    Field(
        "off", Kind.MASS,
        ("off", "after smoke", "after the smoke", "after fire", "after the fire", "off the fire",
         "tras ahumar", "tras el fuego"),
        say("weight off the fire"), say("What do they weigh off that fire?"),
    ),
    Field(
        "sear", Kind.SEAR, ("sear", "second fire", "marcado", "sellado", "segundo fuego"),
        say("second fire"), say("A second fire? Minutes and heat, like 4 min 300 °C"),
        (Tap(say("no second fire"), NONE,
             ("no second fire", "no sear", "not seared", "sin marcar", "sin segundo fuego",
              *_NO)),),
    ),
    Field(
        "peak", Kind.PEAK, ("peak", "rest peak", "rest", "pico", "reposo"), say("peak at rest"),
        say("At rest: highest core, after how long? Like 54 at 6 min"),
        (Tap(say("no rest"), NONE, ("no rest", "not rested", "sin reposo", *_NO)),),
    ),
    Field(
        "rested", Kind.MASS,
        ("rested", "after rest", "after the rest", "cooked", "tras reposo", "tras el reposo",
         "reposado", "cocinado"),
        say("weight after rest"), say("What do they weigh after the rest?"), must=True,
    ),
    Field(
        "served", Kind.MASS,
        ("served", "sliced", "after slicing", "on the plate", "servable", "servido", "cortado",
         "en el plato"),
        say("weight on the plate"), say("What is left to serve, sliced, bones out?"),
        (Tap(say("all of it"), "same", ("all of it", "all", "same", "igual", "todo")),),
    ),
    Field(
        "hold", Kind.MINUTES, ("hold", "holds", "hold test", "aguante", "aguanta"),
        say("hold test"), say("Held at 63 °C or hotter and tasted: how long was it still good?"),
        (
            Tap(say("{time}", time=Qty(30, "min")), "30 min"),
            Tap(say("{time}", time=Qty(60, "min")), "60 min"),
            Tap(say("{time}", time=Qty(90, "min")), "90 min"),
            Tap(say("not tested"), NONE, ("not tested", "not held", "sin probar", *_NO)),
        ),
    ),
    Field(
        "portion", Kind.PORTION, ("portion", "portions", "racion", "raciones", "porcion"),
        say("portion"), say("A portion? Like 1 piece, 190 g raw or 150 g cooked"),
        (Tap(say("1 piece"), "1 pieces"),),
        must=True,
    ),
    Field(
        "price", Kind.PRICE, ("price", "cost", "precio", "coste", "cuesta"), say("price"),
        say("Price of a kg as bought? Like 7.20"),
        (Tap(say("no price"), NONE, ("no price", "sin precio", *_NO)),),
    ),
    Field(
        "goods", Kind.GOODS, ("with", "also", "goods", "con", "ademas", "lleva"),
        say("what else goes in"),
        say("What else goes in, for the test? Like: rub 8.8 g, oil 20 ml"),
        (Tap(say("nothing else"), NONE, ("nothing else", "nada mas", *_NO)),),
    ),
    Field(
        "allergens", Kind.ALLERGENS, ("allergens", "allergen", "contains", "alergenos", "contiene"),
        say("allergens"), say("Which allergens, by the label of each good?"),
        (
            Tap(say("none, labels read"), NONE,
                ("none labels read", "none", "no allergens", "ninguno", "sin alergenos",
                 "ninguno etiquetas leidas")),
            Tap(say("labels not read"), "unknown",
                ("labels not read", "not read", "etiquetas sin leer", "sin leer")),
        ),
    ),
)  # fmt: skip
"""In the order asked."""


def wanted(field: Field, values: Mapping[str, str]) -> bool:
    """Say whether a field makes sense, as far as the draft goes: no time in a brine there is not.

    Examples
    --------
    >>> brine_time = next(f for f in DISH_FIELDS if f.name == "brine_time")
    >>> wanted(brine_time, {"brined": "none"}), wanted(brine_time, {"brined": "0.8 kg"})
    (False, True)
    """
    if field.name == "brine_time":
        return values.get("brined", "") not in {"", NONE, "unknown"}
    return True
