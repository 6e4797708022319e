"""Everyday words: they tell which language a line is in, and are never taken for a typo."""

from __future__ import annotations

_ENGLISH = """
a an the and or of to for with without is are was were be been do does did i you he she
it we they my your his her our their this that these those there here what when where who
how why not dont cant im its ive if so but then than about from up down at by into onto
have has had got get gets will would as very too still just yet only some any all one
please thanks thank need want think same today tonight morning night hour tomorrow put
said says every between after before over under again went came made make good bad
best test lamp park fork road heat seat beat neat wear near spare start star port part
please must just dust cost lost most host bake lake take cake gold told sold hold
dripped ripped tripped
"""
_SPANISH = """
el la los las un una unos unas y o de del al a para por con sin en es son era esta estan
ser que como cuando donde quien se me te le lo nos les mi tu su este esto esa ese eso hay
muy mas menos ya no si pero porque tengo tiene tienen hace hacer hoy ayer manana ahora
luego despues antes aqui alli perdona gracias favor falta cuanto dice sale salen pase come
sobre desde cada todo toda todos otra otro bien mal mejor llega vamos fue han ha
"""

PLAIN = {"en": frozenset(_ENGLISH.split()), "es": frozenset(_SPANISH.split())}
