"""Only a line that was understood word by word may clear anything.

A reader picks from a line what it knows; what it does not know may turn the meaning round ("not
boiled", "skin 80", "power out all night", "gallina con arroz"). So an OK, and a NO to "does it
contain", stand only if every word of the question is on the lists below, only one dish is named,
and only one temperature is read. Anything else is told as not understood. The lists grow by
adding a word that cannot turn a meaning round; denials, intentions, places of a thermometer and
histories are never added.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import replace

from core.ask.topic import AskContext
from core.model import Answer, Cards, Label, Line, Verdict, say
from core.words import Num, Quantity, Time, Token, Word, recognised


def _set(text: str) -> frozenset[str]:
    return frozenset(text.split())


PLAIN = _set(
    """
    a an the is are it its this that these my our of in at and or to yet now still done ok okay
    good ready can i we serve eat pull safe already please what has have does do any there contain
    contains guest guests asks ask for with was been
    el la los las un una de del y o a al ya esta estan está están listo lista hecho hecha bien se
    puede sirvo saco en lleva lleva? hay tiene contiene algo alguna algun la? para con es
    """
)
HEAT = _set(
    """
    core temp temperature reads read reading degrees c f min mins minute minutes h hr hrs hour
    hours s sec secs second seconds hold held rest rested cooked food tub tubs pan pans
    probe probes says say n same
    hueso huesos pero rojo corazon nucleo centro interior temperatura lee marca marcan grados
    minuto minutos hora horas segundo segundos durante reposo reposado comida cubeta
    tarro sonda sondas
    bone thigh but red boneless bones ham
    """
)
STORE = _set(
    """
    cold hot box boxes fridge cooler walk out since delivery arrived arrives delivered chilled
    reheat reheated from boiled full boil marinade reuse as sauce leftovers unserved unopened home
    take logged label fresh today
    caja cajas fria frio caliente nevera camara cámara fuera desde entrega llega llegado
    recalentar recalentado hervida hervido hervir adobo marinada sobras etiqueta
    tent fire grill smoker apart metres meters m ice slush
    carpa fuego parrilla metros hielo
    whole entero entera cubo chili roast asado butt cooled enfriado took tardo dish ambient
    ambiente reaches part parte mas rule regla marked marcada air aire warmest
    """
)
FOODS = _set(
    """
    chicken thigh thighs breast breasts wing wings leg legs drumstick drumsticks turkey duck
    pork chop chops collar loin shoulder tenderloin beef steak steaks brisket rib ribs lamb rump
    rumps burger burgers patty patties mince minced sausage sausages fish salmon cod fillet
    fillets prawn prawns shrimp egg eggs slaw salad salads potato potatoes rice beans mayo
    mayonnaise celeriac mushroom mushrooms corn leek leeks aubergine halloumi tofu cream
    pollo muslo muslos pechuga pechugas ala alas pavo pato cerdo chuleta chuletas cabeza lomo
    ternera vacuno filete filetes solomillo costilla costillas cordero hamburguesa hamburguesas
    picada salchicha salchichas pescado salmon bacalao gamba gambas huevo huevos ensalada
    ensaladas patata patatas arroz judias alubias mayonesa seta setas maiz puerro puerros
    berenjena tortilla pierna ensaladilla wild boar jabali fat grasa
    injected inyectado inyectada stuffed relleno rellena
    """
)
ALLERGENS = _set(
    """
    egg eggs milk dairy lactose gluten wheat rye barley oats nut nuts hazelnut hazelnuts almond
    almonds walnut walnuts cashew pistachio peanut peanuts sesame tahini soy soya mustard celery
    celeriac fish anchovy crustacean crustaceans prawn prawns shrimp mollusc molluscs mussel
    mussels lupin sulphite sulphites sulfite sulfites
    huevo huevos leche lacteos lactosa trigo centeno cebada avena nuez nueces avellana avellanas
    almendra almendras cacahuete cacahuetes sesamo soja mostaza apio pescado anchoa crustaceos
    gamba gambas moluscos mejillones altramuz altramuces sulfitos
    """
)
KNOWN = PLAIN | HEAT | STORE | FOODS

TURNS = _set("inside under below outside beneath dentro bajo debajo fueron never without almost")
"""Words that turn a meaning round and are a letter or two from one on the lists."""

ARRIVES = _set("delivery delivered arrived arrives entrega llega llegado")

FREE = _set("free safe ok okay can may eat allowed suitable apto apta sin puede pueden comer libre")
"""Words that ask whether somebody may eat a thing; a bare YES to them would read as 'go ahead'."""


def cleared(answer: Answer, text: str, tokens: Sequence[Token], context: AskContext) -> Answer:
    """Return the answer, or one that clears nothing where the line was not understood whole."""
    if answer.verdict is Verdict.YES and _asks_may_eat(text):
        return _stopped(answer)
    if answer.verdict not in {Verdict.OK, Verdict.NO}:
        return answer
    strange = unknown_words(text, tokens, context)
    if answer.verdict is Verdict.NO:
        strange = tuple(w for w in strange if w not in ALLERGENS)
        strange += other_foods(text, context.cards)
        one = not strange and len(_dishes(text, context.cards)) <= 1
        return answer if one else _unsure(strange)
    strange += _signs(text, tokens)
    if strange or _too_many(text, tokens) or not answer.sources:
        return _unknown(strange, answer)
    return answer


def unknown_words(text: str, tokens: Sequence[Token], context: AskContext) -> tuple[str, ...]:
    """Return the words of a line that are on no list and name no dish of the event."""
    own = _own_words(context.cards)
    typed = [t.text for t in tokens if isinstance(t, Word)] or text.split()
    words = [word for raw in typed for word in folded(raw).split() if not word.isdigit()]
    strange = [
        w for w in words
        if w in TURNS or (w not in KNOWN | own and not _is_typo(w, context.lang))
    ]  # fmt: skip
    if "rule" in words and "under" in strange:
        strange.remove("under")  # 'under the 4 h rule' is no 'under 4'
    if {"air", "aire"} & set(words) and ARRIVES & set(words):
        strange.append("air")  # of a truck, not of the food
    return tuple(dict.fromkeys(strange))


_ODD = re.compile(r"[<>~≈≤≥≠±*^=|]|\?(?=.*\w)")
"""Signs that make a number less than said: about, below, and a question before the end."""


def _signs(text: str, tokens: Sequence[Token]) -> tuple[str, ...]:
    """Return what stands in a line beside words, plain numbers and times: '<', '2x', '1/2'."""
    odd = [t.text for t in tokens if not isinstance(t, Word | Num | Quantity | Time)]
    return (*dict.fromkeys(_ODD.findall(text)), *odd)


def other_foods(text: str, cards: Cards | None) -> tuple[str, ...]:
    """Return foods of a line that are none of the event's: 'lamb mayo' is not the lamb alone."""
    foods = [w for w in folded(text).split() if w in FOODS and w not in ALLERGENS]
    return tuple(w for w in foods if w not in _own_words(cards))


def folded(text: str) -> str:
    """Return words without case, accents and signs.

    Examples
    --------
    >>> folded("¿Está el NÚCLEO?")
    'esta el nucleo'
    """
    plain = unicodedata.normalize("NFKD", text.casefold())
    kept = "".join(c if c.isalnum() else " " for c in plain if not unicodedata.combining(c))
    return " ".join(kept.split())


def _is_typo(word: str, lang: str) -> bool:
    """Say whether a word is a slip of one on the lists; short words are never guessed."""
    if len(word) < 5:
        return False
    return recognised(word, lang).canonical in KNOWN and word not in ALLERGENS


def _own_words(cards: Cards | None) -> frozenset[str]:
    """Return the words of the event's dishes and ingredients, and of its stations' names."""
    if cards is None:
        return frozenset()
    names = [n for d in cards.dishes for n in (d.name, d.id.replace("-", " "))]
    names += [station.id for station in cards.kit.stations]
    return frozenset(w for name in names for w in folded(name).split())


def _dishes(text: str, cards: Cards | None) -> set[str]:
    """Return the dishes whose name shares a telling word with the line."""
    if cards is None:
        return set()
    words = set(folded(text).split()) - PLAIN
    owners: dict[str, set[str]] = {}
    for dish in cards.dishes:
        for word in folded(f"{dish.name} {dish.id}").split():
            owners.setdefault(word, set()).add(dish.id)
    telling = {w: owners[w] for w in words if w in owners}
    alone = [ids for ids in telling.values() if len(ids) == 1]
    return set().union(*alone) if alone else set()


def _too_many(text: str, tokens: Sequence[Token]) -> bool:
    """Say whether more temperatures are read than one answer can speak of.

    A cooling may have as many as it has times.
    """
    warm = [t for t in tokens if isinstance(t, Quantity) and t.unit in {"°C", "°F", "°"}]
    spans = [
        t
        for t in tokens
        if isinstance(t, Time) or (isinstance(t, Quantity) and t.unit in {"h", "min"})
    ]  # '2 h' may be lexed as a time of day
    bare = [t for t in tokens if isinstance(t, Num)]
    if {"cooled", "enfriado"} & set(folded(text).split()) and not bare:
        return len(warm) > len(spans)
    return len(warm) + len(bare) > 1


def _asks_may_eat(text: str) -> bool:
    return bool(FREE & set(folded(text).split()))


def _stopped(answer: Answer) -> Answer:
    first = say("{verdict}. It contains it: don't serve it to them.", verdict=Verdict.STOP)
    return replace(answer, lines=(first, *answer.lines[:3]), verdict=Verdict.STOP)


def _unknown(strange: Sequence[str], answer: Answer) -> Answer:
    lines = [_not_understood(strange, Verdict.UNKNOWN)]
    lines.append(say("Say the food, one core reading and its minutes, like 'chicken core 75 C'."))
    return Answer(tuple(lines), Verdict.UNKNOWN, read_as=answer.read_as)


def _unsure(strange: Sequence[str]) -> Answer:
    lines = (
        _not_understood(strange, Verdict.NOT_CONFIRMED),
        say("Don't serve it to them. Ask for one dish and one ingredient, like 'egg in salad?'."),
    )
    return Answer(lines, Verdict.NOT_CONFIRMED)


def _not_understood(strange: Sequence[str], verdict: Verdict) -> Line:
    if not strange:
        return say("{verdict}. That can be read in more than one way.", verdict=verdict)
    words = ", ".join(strange[:3])
    return say("{verdict}. I can't clear that: I don't understand '{words}'.", verdict=verdict,
               words=Label(words))  # fmt: skip
