"""What is cooked, bought and mixed: its names in English and Spanish; and the allergen words.

Cuts and vegetables have different names from country to country; a name on a tape label is kept
as it stands. Source: trade word list, common practice.
"""

from __future__ import annotations

from collections.abc import Mapping

Row = tuple[str, str]

FOODS: Mapping[str, Row] = {
    "brine": ("brine, brining, brined, wet brine", "salmuera, salmueras, en salmuera"),
    "dry_brine": ("dry brine, dry brined, dry salt", "salado en seco, sal seca"),
    "rub": ("rub, rubs, dry rub, rubbed", "adobo seco, mezcla, adobo"),
    "marinade": ("marinade, marinated, marinate", "marinada, marinado, marinar"),
    "dressing": ("dressing, dressings", "alino, alinos, aderezo"),
    "vinaigrette": ("vinaigrette", "vinagreta"),
    "sauce": ("sauce, sauces", "salsa, salsas"),
    "mop": ("mop, baste", "pincelar"),
    "concentrate": ("concentrate, conc", "concentrado"),
    "cure": ("cure, curing, cured, curing salt, pink salt", "curar, curado, sal de cura"),
    "nitrite": ("nitrite, nitrites", "nitrito, nitritos"),
    "salt": ("salt, salted", "sal, salado"),
    "sugar": ("sugar", "azucar"),
    "water": ("water", "agua"),
    "oil": ("oil", "aceite"),
    "vinegar": ("vinegar, vin", "vinagre"),
    "bleach": ("bleach, hypochlorite", "lejia"),
    "sanitiser": ("sanitiser, sanitizer, sani, quat", "desinfectante"),
    "stock": ("stock, broth", "caldo"),
    "garlic": ("garlic", "ajo, ajos"),
    "garlic_oil": ("garlic oil", "aceite de ajo"),
    "onion": ("onion, onions", "cebolla, cebollas"),
    "lemon": ("lemon, lemons", "limon, limones"),
    "chicken": ("chicken, chickens, chook", "pollo, pollos"),
    "thigh": ("thigh, thighs", "muslo, muslos, contramuslo, contramuslos"),
    "breast": ("breast, breasts", "pechuga, pechugas"),
    "wing": ("wing, wings", "alita, alitas"),
    "turkey": ("turkey", "pavo"),
    "duck": ("duck", "pato"),
    "pork": ("pork, pig", "cerdo, puerco"),
    "pork_collar": ("pork collar, collar, pork neck", "cabeza de lomo, presa, cabezada"),
    "ribs": ("rib, ribs, spare ribs", "costilla, costillas, costillar"),
    "shoulder": ("shoulder, butt, pork butt, boston butt", "paleta, paletilla"),
    "pulled_pork": ("pulled pork", "cerdo desmechado, cerdo mechado"),
    "beef": ("beef", "ternera, vaca, buey"),
    "brisket": ("brisket, briskets", "pecho de ternera"),
    "steak": ("steak, steaks, stk, stks", "filete, filetes, chuleton, entrecot"),
    "lamb": ("lamb", "cordero, corderos"),
    "rump": ("rump, rumps", "cadera"),
    "goat": ("goat", "cabrito, cabra"),
    "venison": ("venison", "venado, ciervo"),
    "sausage": ("sausage, sausages, bangers", "salchicha, salchichas, chorizo, chorizos"),
    "burger": ("burger, burgers, patty, patties", "hamburguesa, hamburguesas"),
    "mince": ("mince, minced, ground meat, ground beef", "picada, carne picada"),
    "salmon": ("salmon", "salmones"),
    "tuna": ("tuna", "atun"),
    "cabbage": ("cabbage, cabbages", "col, coles, repollo, repollos"),
    "slaw": ("slaw, coleslaw", "ensalada de col"),
    "salad": ("salad, salads", "ensalada, ensaladas"),
    "aubergine": ("aubergine, aubergines, eggplant, eggplants", "berenjena, berenjenas"),
    "leek": ("leek, leeks", "puerro, puerros"),
    "potato": ("potato, potatoes, spud, spuds", "patata, patatas, papa, papas"),
    "bean": ("bean, beans", "alubia, alubias, judia, judias, frijol, frijoles, poroto, porotos"),
    "lentil": ("lentil, lentils", "lenteja, lentejas"),
    "rice": ("rice", "arroz"),
    "corn": ("corn, sweetcorn", "maiz, elote, elotes, choclo, choclos, mazorca, mazorcas"),
    "avocado": ("avocado, avocados", "aguacate, aguacates, palta, paltas"),
    "chilli": ("chilli, chillies, chili, chile", "guindilla, guindillas, aji, chile, chiles"),
    "pepper": ("pepper, peppers", "pimiento, pimientos"),
    "mushroom": (
        "mushroom, mushrooms, portobello, portobellos",
        "seta, setas, champinon, champinones",
    ),
    "tomato": ("tomato, tomatoes", "tomate, tomates"),
    "carrot": ("carrot, carrots", "zanahoria, zanahorias"),
    "lettuce": ("lettuce, leaves", "lechuga, lechugas"),
    "herbs": ("herbs, parsley, mint, dill", "hierbas, perejil, menta, eneldo"),
    "flour": ("flour", "harina"),
    "bread": ("bread, rolls, buns, bun", "pan, panes, panecillos, bocatas, bocadillos"),
}

_NUTS_EN = (
    "nut, nuts, tree nut, tree nuts, almond, almonds, hazelnut, hazelnuts, walnut, walnuts,"
    " cashew, cashews, pistachio, pistachios, pecan, pecans"
)
_NUTS_ES = (
    "frutos secos, fruto seco, almendra, almendras, avellana, avellanas, nuez, nueces,"
    " anacardo, anacardos, pistacho, pistachos"
)

ALLERGENS: Mapping[str, Row] = {
    "egg": ("egg, eggs", "huevo, huevos"),
    "mayo": ("mayo, mayonnaise", "mayonesa"),
    "milk": ("milk, dairy, lactose, buttermilk", "leche, lacteo, lacteos, lactosa"),
    "butter": ("butter", "mantequilla"),
    "cream": ("cream", "nata"),
    "cheese": ("cheese, halloumi, feta", "queso, quesos"),
    "yoghurt": ("yoghurt, yogurt", "yogur"),
    "mustard": ("mustard", "mostaza"),
    "nuts": (
        _NUTS_EN,
        _NUTS_ES,
    ),
    "peanut": ("peanut, peanuts, peanut butter, groundnut", "cacahuete, cacahuetes, mani"),
    "sesame": ("sesame, tahini", "sesamo, ajonjoli"),
    "celery": ("celery", "apio"),
    "celeriac": ("celeriac", "apionabo, apio nabo"),
    "fish": ("fish", "pescado, pescados"),
    "anchovy": ("anchovy, anchovies", "anchoa, anchoas, boqueron, boquerones"),
    "crustaceans": (
        "crustacean, crustaceans, shellfish, prawn, prawns, shrimp, crab, lobster",
        "crustaceo, crustaceos, marisco, mariscos, gamba, gambas, langostino, langostinos",
    ),
    "molluscs": (
        "mollusc, molluscs, mollusk, mussel, mussels, squid, oyster, oysters, clam, clams",
        "molusco, moluscos, mejillon, mejillones, calamar, calamares, almeja, almejas",
    ),
    "gluten": ("gluten, coeliac, celiac", "celiaco, celiaca"),
    "wheat": ("wheat, barley, rye, spelt, oats", "trigo, cebada, centeno, espelta, avena"),
    "soya": ("soya, soy, tofu", "soja"),
    "lupin": ("lupin, lupine", "altramuz, altramuces"),
    "sulphites": ("sulphite, sulphites, sulfite, sulfites", "sulfito, sulfitos"),
}
