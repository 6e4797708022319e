"""The trade's words, English and Spanish, and the concept each stands for.

One row a concept: its id, English spellings, Spanish spellings. Spellings are folded (no case,
no accents); several words are joined by a space and must be typed as they stand.
Source: trade word list, common practice.
"""

from __future__ import annotations

from collections.abc import Mapping

from core.words.food_words import ALLERGENS, FOODS

Row = tuple[str, str]

REPORTS: Mapping[str, Row] = {
    "on": ("on, in, went on, gone in", "dentro, metido, metida, metidos, puesto, puesta, mete"),
    "off": (
        "off, out, pulled, came off, taken off",
        "fuera, sacado, sacada, sacados, sacadas, salio, afuera",
    ),
    "pull": ("pull", "saca, sacar, sacad"),
    "light": (
        "light, lit, fire up, lighting",
        "enciende, encender, encendido, encendida, encendi, prende, prender, prendido",
    ),
    "flip": (
        "flip, flipped, flipping, turn, turned, turned over, turn over",
        "da la vuelta, dar la vuelta, dale la vuelta, vuelta, volteado, voltea, voltear, girado",
    ),
    "rest": ("rest, resting, rested", "reposa, reposar, reposo, reposando, reposado"),
    "dress": ("dress, dressed", "alina, alinar, alinado, alinada, alinados"),
    "serve": (
        "serve, served, plate up",
        "sirve, servir, servido, sirviendo, emplata, emplatar, emplatado",
    ),
    "go": ("go", "marcha, marchando"),
    "sear": ("sear, seared, searing", "sella, sellar, sellado, marcar, marcado"),
    "smoke": ("smoke, smoked, smoking", "ahuma, ahumar, ahumado, humo"),
    "slice": (
        "slice, sliced, carve, carved, carving, slicing",
        "corta, cortar, cortado, trincha, trinchar, trinchado, lonchea, loncha",
    ),
    "chill": (
        "chill, chilled, blast chill, cool, cooling, cooled",
        "abate, abatir, abatido, enfria, enfriar, enfriado, enfriando",
    ),
    "move": ("move, moved", "mueve, mover, movido, movida, pasa, pasar, pasado"),
    "bin": (
        "bin, binned, bin it, discard, throw away, thrown away",
        "tirar, tira, tiro, tirado, tirada, tiramos, basura",
    ),
    "drop": ("dropped, drop", "caido, se cayo, se ha caido"),
    "done": (
        "done, finished, ready, complete",
        "hecho, hecha, hechos, listo, lista, terminado, acabado",
    ),
    "mark": ("tick, ticked", "marca, marco, apunta"),
    "reads": ("reads, reading, shows", "lee, pone"),
    "drain": ("drain, drained", "escurre, escurrir, escurrido, escurridas"),
    "boil": ("boil, boiled, boiling", "hierve, hervir, hervido, hirviendo"),
    "trim": ("trim, trimmed, trim loss", "merma, limpia, limpiar, limpio"),
    "thaw": (
        "thaw, thawed, defrost, thawing",
        "descongela, descongelar, descongelado, descongelando",
    ),
    "frozen": ("frozen", "congelado, congelada, congelados"),
    "wrap": ("wrap, wrapped", "envuelve, envolver, envuelto"),
    "reheat": ("reheat, reheated, warm up", "recalienta, recalentar, recalentado"),
    "wash": ("wash, washed, sanitise, sanitize", "lava, lavar, lavado, desinfecta"),
    "mix": ("mix, mixed, made", "mezclar, mezclado, hice"),
    "hold": ("hold, holding, held", "aguanta, mantener, mantenido"),
    "break": ("broke, broken, dead, down, jammed, fails, failed", "roto, rota, averiado, caida"),
    "clear": ("clear, cleared, fixed, back up", "arreglado, arreglada, desatascado"),
}

ANSWERS: Mapping[str, Row] = {
    "ok": (
        "ok, okay, k, heard, copy, roger, got it, will do, on it, 👍, ✅, 👌, 🆗",
        "oido, va, vale, voy, recibido, de acuerdo",
    ),
    "yes": ("yes, yep, yeah, yup", "si"),
    "no": ("no, nope", "no"),
    "undo": ("undo, scratch that", "deshacer, deshaz, anula, anular"),
    "redo": ("redo", "rehacer"),
}

ASKS: Mapping[str, Row] = {
    "status": ("status, where are we, how are we doing", "estado, como vamos"),
    "next": (
        "next, whats next, what next, what is next, what now",
        "siguiente, que sigue, que toca, proximo, y ahora que",
    ),
    "me": ("me, my jobs, what do i do, what am i doing", "que hago, lo mio, mis tareas"),
    "who": ("who, whos", "quien, quienes"),
    "help": ("help, commands", "ayuda, comandos"),
    "sos": ("sos, emergency, ambulance", "emergencia, ambulancia"),
    "plan": ("plan", "planes"),
    "mute": ("mute, shut up, stfu, be quiet", "callate, silenciar, silencio, calla"),
    "how_much": ("how much, how many, howmany", "cuanto, cuanta, cuantos, cuantas"),
    "how_long": ("how long", "cuanto tarda, cuanto falta, cuanto le falta, cuanto tiempo"),
    "how": ("how", "como"),
    "when": ("when, what time, whens", "cuando, a que hora"),
    "what": ("what, whats, which", "que, cual, cuales"),
    "can": ("can, could, may, should", "puedo, puede, se puede, podemos"),
    "cook": ("start cook, cook", "empezar cocina, empezar servicio, cocina, cocinar"),
}

CHANGES: Mapping[str, Row] = {
    "now": (
        "now, we are, were now, total, make it",
        "somos, ahora, son, seremos, total, en total",
    ),
    "more": ("more, extra, coming, additional", "mas, extra"),
    "less": ("less, fewer, minus", "menos"),
    "late": (
        "late, later, behind, delayed, delay, postpone, push, running late, running behind",
        "tarde, retraso, retrasa, retrasado, retrasada, con retraso, aplaza",
    ),
    "early": ("early, ahead", "pronto, adelantado"),
    "running": ("running", "vamos, voy con"),
    "at": ("at, by", "a las, las, para las, sobre las"),
    "until": ("until, till, til", "hasta, hasta las"),
    "from": ("from, since", "desde, desde las"),
    "left_out": (
        "left out, been out, sat out, been sitting, sitting out, stood out",
        "lleva fuera, ha estado fuera, estuvo fuera",
    ),
    "left": ("left, remaining", "quedan, queda, restan, sobran, sobra"),
    "run_out": ("run out, 86, eighty six, ran out, out of", "se acaba, no queda, se acabo"),
    "close_cook": (
        "finish cook, end cook, close cook",
        "cerrar cocina, terminar cocina, cerrar servicio",
    ),
}

ALARMS: Mapping[str, Row] = {
    "sick": (
        "sick, ill, vomit, vomited, vomiting, puked, threw up, diarrhoea",
        "vomito, vomitado, vomitando, enfermo, enferma, diarrea, malo, mala",
    ),
    "faint": (
        "faint, fainted, dizzy, collapsed, unconscious, passed out",
        "mareado, mareada, desmayado, desmayada, inconsciente, se desmaya",
    ),
    "choking": (
        "choking, swollen, swelling, hives, rash, cant breathe, not breathing",
        "hinchado, hinchada, labios hinchados, se ahoga, no respira, ronchas",
    ),
    "hurt": (
        "burnt, burned, burn, scalded, bleeding, blood, cut himself, cut herself, cut myself",
        "quemado, quemada, quemadura, sangre, sangra, sangrando, se ha cortado",
    ),
    "fire_out": ("on fire, flames, fire", "incendio, llamas, arde, ardiendo"),
    "smoke_alarm": (
        "smoke alarm, co alarm, carbon monoxide, gas leak, smell gas",
        "alarma de humo, alarma de co, monoxido, escape de gas, huele a gas",
    ),
}
"""What must never be taken for banter."""

THINGS: Mapping[str, Row] = {
    "load": ("load, loads", "tanda, tandas, lote, lotes"),
    "batch": ("batch, batches", "hornada, hornadas"),
    "rack": ("rack, racks, shelf", "rejilla, rejillas, bandeja, bandejas"),
    "tray": ("tray, trays", "fuente, fuentes"),
    "box": ("box, boxes, cooler, coolers, esky", "caja, cajas, nevera, neveras"),
    "hot_box": ("hot box, hotbox", "caja caliente, termo"),
    "cold_box": ("cold box, coldbox, ice box", "caja fria"),
    "tub": ("tub, tubs, bucket, buckets", "cubo, cubos, cubeta, cubetas, barreno, tina"),
    "lane": ("lane, lanes, line, lines, pass", "linea, lineas, pase"),
    "table": ("table, tables", "mesa, mesas"),
    "pan": ("gn pan, gn pans, pan, pans, gn, hotel pan", "gastro, gastros, gastronorm"),
    "probe": ("probe, probes, thermometer, leave in", "sonda, sondas, termometro"),
    "pit": ("pit, pits, smoker, smokers", "ahumador, ahumadores, pozo"),
    "grill": ("grill, grills, bbq, barbecue", "parrilla, parrillas, barbacoa"),
    "grate": ("grate, grates", "parrilla de carbon"),
    "oven": ("oven, ovens", "horno, hornos"),
    "griddle": ("griddle, plancha", "plancha, planchas"),
    "ring": ("ring, rings, burner, burners", "fuego, fuegos, quemador, quemadores"),
    "fridge": ("fridge, walk in, walkin, trailer, cold room", "camara, frigo, frigorifico"),
    "tent": ("tent, gazebo", "carpa"),
    "embers": ("embers, coals, ember", "brasas, brasa"),
    "charcoal": ("charcoal, coal, briquettes", "carbon, briquetas"),
    "wood": ("wood, splits, logs, chunks", "lena, troncos"),
    "pellets": ("pellet, pellets, auger", "pellet, pellets"),
    "gas": ("gas, propane, lpg, gas bottle, butane", "bombona, bombonas, butano, propano"),
    "wind": ("wind, gust, gusts, windy", "viento, rachas, racha"),
    "rain": ("rain, raining, pissing down, rainy", "lluvia, llueve, lloviendo"),
    "ice": ("ice", "hielo"),
    "core": ("core, internal, inside", "corazon, interior, centro"),
    "air": ("air, ambient", "aire, ambiente"),
    "food": ("food", "comida, alimento"),
    "surface": ("surface", "superficie"),
    "temp": ("temp, temps, temperature", "temperatura, temperaturas, grados"),
    "plates": ("plates, plate, platters, platter, service", "plato, platos, pase de platos"),
    "heads": ("heads, head count, headcount", "cabezas, aforo"),
    "head": ("head", "cabeza"),
    "people": (
        "people, ppl, pax, guests, guest, covers, cover, diners, adults, persons",
        "comensales, comensal, pax, cubiertos, personas, invitados, gente, adultos",
    ),
    "children": ("children, kids, kid", "ninos, nino, crios"),
    "portions": ("portion, portions, serving, servings", "racion, raciones, porcion, porciones"),
    "pieces": ("piece, pieces, pcs, pc", "pieza, piezas"),
    "slices": ("slices", "lonchas, rebanadas"),
    "firsts": ("firsts, first plates", "primeros"),
    "seconds": ("seconds, second helpings", "repetir, segundos platos"),
    "case": ("case, cases, carton", "caja de carton, cartones"),
    "pack": ("pack, packs, bag, bags, sack", "paquete, paquetes, saco, sacos, bolsa, bolsas"),
    "leftovers": ("leftovers, leftover", "sobras"),
    "skewer": ("skewer, skewers", "brocheta, brochetas, pincho, pinchos"),
    "costing": ("cost, costing, costs, price", "escandallo, coste, costes, precio"),
    "delivery": ("delivery, delivered, arrived", "entrega, pedido, llegado"),
    "wait": ("wait, waiting", "espera, esperando"),
    "timer": ("timer, timers, alarm", "temporizador, alarma, cronometro"),
    "allergy": ("allergy, allergic, allergen, allergens", "alergia, alergico, alergica, alergenos"),
    "raw": ("raw, uncooked", "crudo, cruda, crudos"),
    "cooked": ("cooked", "cocido, cocida, cocinado"),
    "bone_in": ("bone in", "con hueso"),
    "boneless": ("boneless, bone out", "sin hueso, deshuesado"),
    "trimmed": ("trimmed weight", "limpia de grasa"),
    "side": ("side, garnish, sides", "guarnicion"),
    "main": ("main, mains", "principal, segundo plato"),
    "cup": ("cup of", "taza de"),
    "ratio": ("ratio, parts, part", "proporcion, partes, parte"),
    "empty": ("empty", "vacio, vacia"),
    "full": ("full, fill", "lleno, llena, llenar"),
    "wedding": ("wedding, seated, sit down", "boda"),
    "buffet": ("buffet, self serve, self service", "bufe, autoservicio"),
    "per": ("per, each, apiece", "por, cada"),
    "hot": ("hot", "caliente, calientes"),
    "cold": ("cold", "frio, fria, frios"),
    "meat": ("meat", "carne"),
    "vegetarian": ("veg, veggie, veggies, vegetarian, vegan", "vegetariano, vegetariana, vegano"),
}

TRADE: Mapping[str, Row] = {**REPORTS, **ANSWERS, **ASKS, **CHANGES, **ALARMS, **THINGS, **FOODS}

COUNTED = frozenset({"people", "heads", "portions", "pieces", "children", "slices", "plates"})
"""What comes in whole numbers, so that '1.200 pax' is twelve hundred."""

VERBS = frozenset(
    {"on", "off", "pull", "light", "flip", "rest", "dress", "serve", "sear", "smoke", "done"}
    | {"slice", "chill", "move", "bin", "go", "load", "batch", "rack"}
)
"""What a report can open with after its time: '1802 load on'."""


def spellings(row: Row, lang: str) -> tuple[str, ...]:
    """Return the spellings of a row in one language."""
    part = row[0] if lang == "en" else row[1]
    return tuple(word.strip() for word in part.split(",") if word.strip())


def is_allergen(concept: str) -> bool:
    """Tell whether a concept is an allergen word, never to be guessed at."""
    return concept in ALLERGENS
