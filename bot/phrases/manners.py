"""Small words: swearing and thanks that change nothing, and words that put a report in doubt."""

from __future__ import annotations

from core.words.everyday import PLAIN

_SWEARING = """
fuck fucking fucked fkn ffs shit bloody damn crap hell wtf joder jodido hostia ostia cono puta
puto mierda cojones cabron carajo
"""
_POLITE = """
please pls plz thanks thx cheers sorry mate chef guys boss lads hey hi hola oye jefa jefe
gracias porfa perdona perdon tio tia venga eh ey dale
looks looking great lovely nice perfect beautiful finally already brilliant taken took just
perfecto bonito guapo bueno fin ya
"""
_SMALL = """
its it is the at as of to for de del la el las los al que se ha han y and
"""
_ASKING_FIRST = """
is are any does do did will was were has have whats what which why hay lleva llevan tiene es
esta estan donde where que cual porque should would
"""
_DENYING = """
not dont doesnt didnt isnt arent wasnt wont cant never cannot nothing nobody without yet no
nunca jamas aun todavia tampoco sin
"""
_EXPECTED = """
will gonna going if when before after until unless soon later then instead maybe perhaps
luego despues antes si cuando pronto quizas mientras tomorrow manana almost nearly casi
should could would might hasta need needs want wants must get let lets quiero necesito hay
"""

_EVERYTHING = "all both everything everyone todo todos toda todas ambos ambas"

_CONTRACTED = "well were weve theyre youre im ive its hes shes thats"
_WITH_AN_ANSWER = "its it is all todo ya esta that thats eso im i just"

POLITE = frozenset(f"{_SWEARING}{_POLITE}".split())
"""Words of mood and manners."""

WITH_AN_ANSWER = POLITE | frozenset(_WITH_AN_ANSWER.split())
"""What may stand beside 'done' and 'ok'; 'well done' and 'va bien' tick nothing."""

CONTRACTED = frozenset(_CONTRACTED.split())
"""Fillers only when typed with their apostrophe: "we'll" is, 'well' is not."""

FILLERS = (PLAIN["en"] | PLAIN["es"] | POLITE | frozenset(_SMALL.split())) - {
    "no",
    "not",
    "mas",
    "menos",
}
"""Words that carry nothing for a report."""

ASKING_FIRST = frozenset(_ASKING_FIRST.split())
"""Words that make a question when they open a line."""

DENYING = frozenset(_DENYING.split())
"""Words that deny."""

DOUBTING = DENYING | frozenset(_EXPECTED.split())
"""Words after which nothing has happened: denied, expected or only thought of."""

EVERYTHING = frozenset(_EVERYTHING.split())
"""Words for all there is: they name nothing, so nothing is ticked by them."""
