"""How long a piece out of the fridge takes to warm at its core, and that the clock runs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from core.ask.names import matching
from core.ask.safety_said import temps
from core.ask.said import said
from core.ask.tell import figures
from core.ask.topic import AskContext
from core.model import Answer, Number, Piece, Qty, Source, Span, say
from core.words import Token

_TEMPER = ("temper", "tempering", "tempered", "atemperar", "atempero", "atemperado", "templar",
           "out of the fridge before", "sacar de la nevera antes")  # fmt: skip
_FROM_C, _ROOM_C, _RISE_K = 5.0, 22.0, 7.0
_CHOCOLATE = ("chocolate", "cocoa", "cacao")


@dataclass(frozen=True, slots=True)
class TemperQuestion:
    """A piece to be warmed by some degrees in a room."""

    piece: Piece
    room_c: float


def read_temper(tokens: Sequence[Token], text: str, context: AskContext) -> TemperQuestion | None:
    """Read 'how long to temper 5 cm steak', 'cuanto atempero 2.5 cm a 30 grados'."""
    line = said(tokens, text)
    if not line.says(*_TEMPER) or line.says(*_CHOCOLATE):
        return None
    thick = {d.name: d for d in context.cards.dishes if d.piece.thickness_cm} if (
        context.cards) else {}  # fmt: skip
    found = matching(line, thick)
    length = line.only("length")
    if length is not None:
        piece = Piece(thickness_cm=length.base)
    elif len(found) == 1:
        piece = thick[found[0]].piece
    else:
        return None
    rooms = [t.read.c for t in temps(line, bare=(10.0, 120.0))]
    return TemperQuestion(piece, rooms[0] if len(rooms) == 1 else _ROOM_C)


def answer_temper(question: TemperQuestion, _: AskContext) -> Answer:
    """Answer with the minutes for a few degrees, and what they cost on the clock of safety."""
    from core.heat.cold import temper_min

    room = question.room_c
    to = min(_FROM_C + _RISE_K, room - 1.0)
    minutes = temper_min(question.piece, _FROM_C, to, room)
    low, high = figures(minutes * 0.8, 2), figures(minutes * 1.3, 2)
    thick = Qty(question.piece.thickness_cm or 0.0, "cm")
    lines = (
        say("About {minutes} for {start} to {end} at the core, {thick}, room {room}.",
            minutes=Span(low, high, "min", 0), start=Qty(_FROM_C, "°C"),
            end=Qty(round(to), "°C"), thick=thick, room=Qty(room, "°C")),
        say("It gains little: a few minutes on the fire. The time out of the cold counts."),
    )  # fmt: skip
    return Answer(
        lines,
        numbers=(Number("temper", figures(minutes, 2), "min", low, high),),
        read_as=say("{thick} out of the fridge", thick=thick),
        sources=(Source("conduction", "Transient conduction, exact series", "", "computed"),),
    )
