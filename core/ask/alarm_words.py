"""Words of alarms and how they are heard: typos forgiven, numbers ignored, denials respected.

An alarm missed is worse than a false one, so words near to these count, unless they are words of
the trade themselves ('cooking' is not 'choking').
"""

from __future__ import annotations

from functools import cache

from rapidfuzz.distance import OSA

from core.ask.clearing import KNOWN, folded
from core.words.recognise import phrase_concept

_SHORTEST = 6  # letters of a word in which a slip is forgiven; names are shorter


def _words(text: str) -> frozenset[str]:
    return frozenset(text.split())


BREATH = _words("breathe breath breathing breathes respirar respira respirando aire")
HARDLY = _words(
    "cant cannot not no can't hard hardly difficulty difficult struggling struggles trouble stopped"
    " stops unable without cuesta sin apenas wheezing"
)
SWELL = _words(
    "swollen swolen swelling swell swelled swells puffy hives anaphylaxis anaphylactic"
    " anaphylactico anaphylactica epipen hinchado hinchada hinchados hinchadas hincha hinchazon"
    " hinchandose hinchando inchado inchada inchados inchadas ronchas urticaria anafilaxia"
    " anafilaxis anafilactico anafilactica anafilactica adrenaline adrenalina"
)
BODY_SWELLS = _words(
    "lip lips face tongue throat eye eyes neck mouth labio labios cara lengua garganta ojo ojos"
    " cuello boca guest woman man kid girl boy child senora senor chica chico nino nina he she her"
    " him his people person everyone"
)
FOOD_SWELLS = _words(
    "bean beans rice lentils can cans tin tins bag bags pack packs dough raisins lid alubias arroz"
    " lentejas lata latas bolsa bolsas paquete masa judias garbanzos chickpeas"
)
CHOKE = _words(
    "choking choke choked chokes ahoga ahogando atragantado atragantada atraganta asfixia"
)
DOWN = _words(
    "unconscious unconsious unresponsive collapsed collapses collapse fainted seizure"
    " electrocuted electrocution dying inconsciente desmayado desmayada desmaya desmayao desmayo"
    " convulsiones convulsion electrocutado electrocutada desplomado desplomada infarto ictus"
    " muriendo muere"
)
FALLS = _words("collapsed collapses collapse desplomado desplomada")
THINGS_THAT_FALL = _words(
    "tent gazebo canopy table tables tower pile stack shelf rack souffle cake plan carpa toldo mesa"
    " torre pila estante"
)
DIZZY = _words(
    "dizzy dizy dizzzy dizziness faint faints woozy lightheaded headache headaches nausea nauseous"
    " mareado mareada mareados mareadas mareo mareos marea mareaos nauseas"
)
ILL = _words("sick ill unwell coughing cough vomiting malo mala mal tos tosiendo vomitando")
HEAT = _words("heatstroke insolacion overheated")
ENCLOSED = _words(
    "tent tents marquee gazebo canopy van vans garage trailer inside indoors carpa carpas toldo"
    " furgoneta dentro garaje remolque caseta"
)
FUMES = _words(
    "charcoal coal coals embers smoke smoky fumes generator co monoxide brasas carbon humo humos"
    " gases generador monoxido barbecue bbq grill barbacoa"
)
SEVERAL = _words(
    "people everybody everyone all both guests crew us three four five two dos tres cuatro cinco"
    " todos todas varios varias gente somos estamos personas invitados"
)
MONOXIDE = _words("monoxide monoxido")
DETECTOR = _words(
    "alarm alarms alrm alram detector beeping beeps alarma detector pita pitando suena"
)
SMOKE_OR_CO = _words("smoke smok co humo carbon")
GAS = _words("gas propane butane lpg bombona bombonas butano propano")
SMELL = _words(
    "smell smells smelling smelly leak leaks leaking leaked hissing hiss hisses huele huelo oler"
    " olor fuga fugas escape escapa silba silbando"
)
NEVER_LEAKS = _words("no not sin ningun ninguna without isnt cleared gone fixed arreglado")
FAT = _words("oil fat grease fryer aceite grasa freidora sarten manteca wok")
BURNS = _words("flames flame burning ablaze llamas ardiendo arde arden prendido prendida")
ABLAZE = ("on fire", "in flames", "caught fire", "catches fire", "catching fire", "set fire",
          "se quema", "se esta quemando", "en llamas", "ha prendido", "out of control",
          "fuera de control")  # fmt: skip
THINGS_THAT_BURN = _words(
    "tent tarp tarps gazebo canopy marquee van truck table cloth curtain bin hedge grass tree shed"
    " barn cylinder bottle box apron hair clothes sleeve carpa lona toldo furgoneta mesa mantel"
    " cubo seto hierba arbol cobertizo bombona delantal pelo ropa manga generator generador"
)
FIRE_ALONE = _words("fire fuego incendio explosion explosion! explota exploded explotado")
UNITS = _words("kg g l ml min h at ppl people las a")
BESIDE_FIRE = _words("fire fuego hay there theres is a the help now un una en ayuda here aqui big")
BODY = _words(
    "hand hands arm arms finger fingers thumb face leg foot wrist eye eyes himself herself myself"
    " mano manos brazo brazos dedo dedos pulgar cara pierna pie muneca ojo ojos"
)
HURT = _words(
    "burnt burned burn burns scalded scald bleeding bleeds blood cut cuts sliced chopped quemado"
    " quemada quemo quemadura escaldado escaldada sangra sangrando sangre cortado cortada corto"
    " corte"
)
LIGHTNING = _words(
    "lightning lightening thunder thunderstorm thunderstorms rayo rayos trueno truenos relampago"
    " relampagos"
)
FORECAST = _words("forecast forecasts pronostico prevision maybe tomorrow manana chance")
ALLERGIC = _words("allergic allergy alergico alergica alergia")
ATE = _words("ate eaten eat swallowed comio comido tragado probado")
SOS_WORDS = _words("ambulance ambulancia ambulancias paramedic paramedics socorro auxilio")
NUMBERS = _words("999 911 112")
CALLS = _words("call ring dial llama llamad llamar")

PHRASES_DOWN = ("passed out", "heart attack", "chest pain", "no pulse", "not responding", "cardiac",
                "stroke victim", "having a stroke", "dolor en el pecho", "dolor de pecho",
                "sin pulso", "no responde", "ha caido redondo", "paro cardiaco", "wont wake",
                "won t wake", "se ha desmayado", "se desmaya")  # fmt: skip
PHRASES_HEAT = ("heat stroke", "heat exhaustion", "heat stress", "golpe de calor", "not sweating",
                "no suda", "agotamiento por calor", "heat cramps", "calambres")  # fmt: skip
PHRASES_REACTION = ("epi pen", "allergic reaction", "reaccion alergica", "shock anafilactico",
                    "throat closing", "throat is closing", "throat closed",
                    "se le cierra la garganta")  # fmt: skip
PHRASES_CHOKE = ("se ahoga", "se esta ahogando", "bone in throat", "hueso en la garganta")
PHRASES_STORM = ("tormenta electrica", "electrical storm", "electric storm")
SUPPOSED = (" if ", " si ", "in case", "en caso", " drill", "simulacro", "where is", "donde esta",
            "practice", "training")  # fmt: skip


class Heard:
    """The words of a line, each as it may have been meant."""

    def __init__(self, text: str) -> None:
        """Take a line as it was typed, in any case, with any signs."""
        self.loud = "!" in text
        self.plain = f" {folded(text.replace(chr(39), '').replace(chr(8217), ''))} "
        self.words = self.plain.split()

    def any(self, known: frozenset[str]) -> bool:
        """Tell whether a word of the line is one of these, or a slip of one."""
        return any(is_like(word, known) for word in self.words)

    def says(self, phrases: tuple[str, ...]) -> bool:
        """Tell whether one of these stands in the line word for word."""
        return any(f" {phrase} " in self.plain for phrase in phrases)

    @property
    def shouts_fire(self) -> bool:
        """Tell whether it says 'fire!' or 'there is a fire'; 'fire' alone is the cook's 'go'."""
        spoken = {w for w in self.words if not any(c.isdigit() for c in w)} - UNITS
        only = bool(spoken & {"fire", "fuego"}) and spoken <= BESIDE_FIRE
        return only and (self.loud or len(spoken) > 1)

    @property
    def is_supposed(self) -> bool:
        """Tell whether it is asked or practised, not so: nobody is rung for it."""
        return any(part in self.plain for part in SUPPOSED)


@cache
def is_like(word: str, known: frozenset[str]) -> bool:
    """Say whether a word is one of these or a slip of one; a known word is never a slip.

    Examples
    --------
    >>> is_like("swolen", SWELL), is_like("cooking", CHOKE)
    (True, False)
    """
    if word in known:
        return True
    if len(word) < _SHORTEST or word in KNOWN or word in _NEVER or phrase_concept(word, "en"):
        return False
    most = 2 if len(word) >= 9 else 1
    return any(
        len(target) >= _SHORTEST
        and target[0] == word[0]
        and OSA.distance(word, target, score_cutoff=most) <= most
        for target in known
    )


_NEVER = _words(
    "cooking coking joking stroking shoking boring brother father mother breather bread breads"
    " smells small smell swelter sweet smile smoked smoker leek leeks leak lead fryers fire fires"
    " flare flares thunderous raya rayas tiempo burger burgers bunch lunch brunch burnt dozen"
    " dozens cocoa fitting fitted hinge mango mangos maria marea marinada mareas gasto gastos"
    " gastro gastros spelling conversion aire aires aira corta corto corte cara caras carta cartas"
    " mesa mesas plaza"
)
"""Words a letter or two from an alarm's that mean something else; exact ones still count."""
