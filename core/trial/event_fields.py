"""The fields of an event, in the order asked."""

from __future__ import annotations

from core.model import Label, Profile, say
from core.trial.fields import Field, Kind, Tap

LAST = "last"
"""As the event says that kit and crew are taken from."""

EVENT_FIELDS: tuple[Field, ...] = (
    Field(
        "day", Kind.DAY, ("date", "day", "fecha", "dia"), say("date"),
        say("Which day? Like 13 June"), must=True,
    ),
    Field(
        "heads", Kind.COUNT, ("heads", "guests", "people", "pax", "comensales", "personas"),
        say("heads"), say("How many heads?"), must=True,
    ),
    Field(
        "like", Kind.PLACE, ("like", "kit and crew", "kit", "crew", "como", "equipo"),
        say("kit and crew"), say("Kit and crew from which event?"), must=True,
    ),
    Field(
        "menu", Kind.SPLIT, ("menu", "dishes", "split", "platos", "reparto"), say("menu"),
        say("Which dishes, for how many? Like: lamb rump 52, celeriac 8. No number: for all"),
        must=True,
    ),
    Field(
        "window", Kind.WINDOW, ("plates", "service", "serve", "window", "servicio", "hora"),
        say("plates"), say("Plates from and to? Like 14:00-14:40"), must=True,
    ),
    Field(
        "pace", Kind.PACE, ("pace", "ritmo", "per min"), say("pace"),
        say("All at once, or how many guests a minute? Like 6"),
        (Tap(say("all at once"), "at once", ("all at once", "at once", "todos a la vez",
                                             "a la vez")),),
        must=True,
    ),
    Field(
        "profile", Kind.WORD, ("rules", "profile", "normas", "reglas"), say("food rules"),
        say("Which food rules? Or say: au, nz, ca, scotland, us-consumer"),
        (
            Tap(say("as last time"), LAST, ("as last time", "as last", "same", "igual",
                                            "como la ultima vez")),
            *(Tap(say("{rules}", rules=Label(p.value.upper())), p.value, (p.value,))
              for p in (Profile.UK, Profile.ES, Profile.US)),
        ),
        must=True,
    ),
    Field(
        "emergency", Kind.EMERGENCY, ("emergency", "emergencia", "address", "direccion"),
        say("emergency card"),
        say("Emergency card: number, address, gate. Like: 112, Mill Lane 3, gate 2"),
        (Tap(say("as last time"), LAST, ("as last time", "as last", "same", "igual",
                                         "como la ultima vez")),),
        must=True,
    ),
)  # fmt: skip
"""In the order asked."""
