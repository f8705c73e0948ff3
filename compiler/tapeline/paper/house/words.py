"""The fixed words of drawings and their pages, in the languages that a house may ask for.

English stands in the modules that draw; the English words, with their `{places}` for figures and names, are the keys here.  What
a language has not is said in English.  Names of levels and edges and titles of pieces are the style's own; those in common use have
words here (`garment_words`), others stay as they are, and so do notes.  The words of drawings and pages stand here, those of the cutting
list in `list_words`, those of the sheet for drawing by hand in `hand_words`.

NOT REVIEWED: the German and the French words were written from general knowledge of the two trades' speech and have not been read
by a cutter who speaks the language.
"""

from __future__ import annotations

from . import garment_words, hand_words, list_words, making_up_words

LANGUAGES = ("en", "de", "fr")
DECIMAL_MARKS = {"en": ".", "de": ",", "fr": ","}


def in_language(language: str, words: str, **figures: object) -> str:
    """English words with their places filled, in another language where it has them."""
    translated = _TABLES.get(language, {}).get(words, words)
    return translated.format(**figures) if figures else translated


_GERMAN = {
    # a piece
    "Cut {count}": "{count} x zuschneiden",
    "Cut {count} for {purpose}": "{count} x zuschneiden f\u00fcr {purpose}",
    "{cut} on fold": "{cut}, im Stoffbruch",
    "{cut}, on fold": "{cut}, im Stoffbruch",
    "{cut}, drawn whole": "{cut}, ganz gezeichnet",
    "{cut}, a mirrored pair": "{cut}, gegengleich",
    "{cut}, as mirrored pairs": "{cut}, paarweise gegengleich",
    "{cut}, a mirrored pair: as drawn the left": "{cut}, gegengleich: gezeichnet das linke",
    "{cut}, a mirrored pair: as drawn the right": "{cut}, gegengleich: gezeichnet das rechte",
    "{cut}, for the left side": "{cut}, f\u00fcr die linke Seite",
    "{cut}, for the right side": "{cut}, f\u00fcr die rechte Seite",
    "{cut}, whole: left and right differ": "{cut}, ganz: links und rechts verschieden",
    "left of the body": "linke K\u00f6rperseite",
    "right of the body": "rechte K\u00f6rperseite",
    "outside cloth": "Oberstoff",
    "{layer}: right side of the cloth up": "{layer}: rechte Stoffseite oben",
    "piece {number} of {count}": "Teil {number} von {count}",
    "date {date}": "Datum {date}",
    "measured {date}": "gemessen {date}",
    "chosen: {list}": "gew\u00e4hlt: {list}",
    "rules {letters}": "Regeln {letters}",
    "fitted {date}": "anprobiert am {date}",
    "{count} fittings, the last {date}": "{count} Anproben, die letzte am {date}",
    "Also cut {count} {what}": "Au\u00dferdem {count} x zuschneiden: {what}",
    "Also cut {count} {what}, right side of the cloth down": "Au\u00dferdem {count} x zuschneiden, rechte Stoffseite unten: {what}",
    "{cut}, along the stitching line": "{cut}, auf der Nahtlinie",
    "lining": "Futter",
    "facing": "Besatz",
    "interfacing": "Einlage",
    "none": "keine",
    "{width} for zip": "{width} f\u00fcr Rei\u00dfverschluss",
    "{width} turned up": "{width} Saum",
    "{width} faced": "{width} mit Besatz",
    "{width} bound": "{width} eingefasst",
    "Net: no seam allowances": "Ohne Nahtzugaben",
    "Seam allowances included: {list}": "Nahtzugaben enthalten: {list}",
    "place on fold": "Stoffbruch",
    "bone {length}": "Stab {length}",
    "zip {length}, to here": "Rei\u00dfverschluss {length}, bis hier",
    # the sheet
    "version {version}": "Fassung {version}",
    "drafted for {name}": "gezeichnet f\u00fcr {name}",
    "drafted for {name}, {house}": "gezeichnet f\u00fcr {name}, {house}",
    "Scale 1 : 1, drawn in millimetres": "Ma\u00dfstab 1 : 1, in Millimetern gezeichnet",
    "Lengths in words are in inches, to the nearest 1/{part}": "L\u00e4ngen im Text in Zoll, auf 1/{part} gerundet",
    "Lengths in words are in {unit}": "L\u00e4ngen im Text in {unit}",
    "centimetres": "Zentimetern",
    "inches": "Zoll",
    "millimetres": "Millimetern",
    "Print at 100\u00a0%, not fitted to the page. Measure this square across and down before cutting: "
    "each side must be 100\u00a0mm.": "Mit 100\u00a0% drucken, nicht an die Seite anpassen. Vor dem Zuschneiden dieses Quadrat quer und l\u00e4ngs messen: "
    "jede Seite muss 100\u00a0mm haben.",
    "(a hair under 3 15/16 in)": "(ein Haar unter 3 15/16 Zoll)",
    "What the lines mean": "Was die Linien bedeuten",
    # lines
    "cut here": "hier schneiden",
    "Foundation: not to be cut": "Grundschnitt: nicht ausschneiden",
    "outline of a foundation: not to be cut": "Umriss eines Grundschnitts: nicht ausschneiden",
    "sew here: stitching line": "hier n\u00e4hen: Nahtlinie",
    "lay on the fold of the cloth, do not cut": "an den Stoffbruch legen, nicht schneiden",
    "turn the hem up here": "Saum hier umschlagen",
    "centre line of a piece drawn whole": "Mittellinie eines ganz gezeichneten Teils",
    "grain line: lay along the lengthwise thread": "Fadenlauf",
    "dart: sew from its mouth to the cross": "Abn\u00e4her: von der \u00d6ffnung zum Kreuz n\u00e4hen",
    "fold of a dart, up to its folded end": "Falz eines Abn\u00e4hers bis zum gefalteten Ende",
    "pleat: fold on the chain line, lay the fold to the dashed line": "Falte: an der Strichpunktlinie falten, an die gestrichelte Linie legen",
    "level of the body, to check by": "H\u00f6he am K\u00f6rper, zur Kontrolle",
    "place for a part or a trimming": "Platz f\u00fcr ein Teil oder einen Besatz",
    "double line: lengthen or shorten the piece here": "Doppellinie: das Teil hier verl\u00e4ngern oder k\u00fcrzen",
    "stitching of a bone's channel": "Naht des Stabkanals",
    "bone, drawn as long as it is cut": "Stab, so lang gezeichnet, wie er geschnitten wird",
    "drill hole, circled": "Bohrloch, im Kreis",
    "the place that is named beside it": "die Stelle, die daneben genannt ist",
    "button": "Knopf",
    "buttonhole": "Knopfloch",
    "hook": "Haken",
    "loop or eye": "Schlaufe oder \u00d6se",
    "on one piece": "an einem Teil",
    "left only": "nur links",
    "right only": "nur rechts",
    "opening, left only": "\u00d6ffnung, nur links",
    "opening, right only": "\u00d6ffnung, nur rechts",
    "{place}, on the left": "{place}, links",
    "{place}, on the right": "{place}, rechts",
    "button on one piece, hole in the other": "Knopf an einem Teil, Loch im anderen",
    "may be cut in two here: add a seam allowance to either part": "darf hier geteilt werden: an beiden Teilen eine Nahtzugabe anf\u00fcgen",
    "end of the zip opening": "Ende des Rei\u00dfverschlussschlitzes",
    "notch: match with its fellow": "Knips: auf sein Gegenst\u00fcck legen",
    # the nest of sizes
    "size {size}": "Gr\u00f6\u00dfe {size}",
    "sizes {list}": "Gr\u00f6\u00dfen {list}",
    "Sizes": "Gr\u00f6\u00dfen",
    "{size}, base size": "{size}, Grundgr\u00f6\u00dfe",
    "wide: cut here; thin: stitching line": "breit: hier schneiden; d\u00fcnn: Nahtlinie",
    "growth: one place, from size to size": "Sprung: eine Stelle, von Gr\u00f6\u00dfe zu Gr\u00f6\u00dfe",
    "where the sizes are laid together": "hier liegen die Gr\u00f6\u00dfen aufeinander",
    "all sizes meet at: {place}": "alle Gr\u00f6\u00dfen treffen sich bei: {place}",
    # pages
    "edge of a page: cut it away here": "Seitenrand: hier abschneiden",
    "lay the cut edge of the next page here": "Schnittkante der n\u00e4chsten Seite hier anlegen",
    "This bar is {length}": "Dieser Balken hat {length}",
    "Scale 1 : 1. Paper: {paper}.": "Ma\u00dfstab 1 : 1. Papier: {paper}.",
    "Scale 1 : 1. Paper: {paper}, lying on its side.": "Ma\u00dfstab 1 : 1. Papier: {paper}, quer.",
    "{count} page of pieces after this one.": "Danach {count} Seite mit Schnittteilen.",
    "{count} pages of pieces after this one.": "Danach {count} Seiten mit Schnittteilen.",
    "Neighbours share {length}.": "Nachbarn teilen sich {length}.",
    "Pages lie edge to edge.": "Die Seiten liegen Kante an Kante.",
    "Print at 100\u00a0%, at actual size, never fitted to the page.": "Mit 100\u00a0% drucken, in Originalgr\u00f6\u00dfe, nie an die Seite anpassen.",
    "Print this page first. Measure this square, which is 100\u00a0mm each way, and both long bars. "
    "If one of them is wrong, every piece would be.": "Diese Seite zuerst drucken. Dieses Quadrat messen, das in beiden Richtungen 100\u00a0mm hat, und beide langen "
    "Balken. Stimmt eines nicht, stimmt kein Teil.",
    "Pages are named by row and column: 2-3 is the third page of row 2. Numbered diamonds stand where pages are "
    "joined.": "Seiten hei\u00dfen nach Reihe und Spalte: 2-3 ist die dritte Seite der Reihe 2. Wo Seiten verbunden werden, "
    "stehen Rauten mit Nummern.",
    "The right or lower page of two has a thin trimming line: cut its edge away there.": "Von zwei Seiten hat die rechte oder untere eine d\u00fcnne Schnittlinie: dort den Rand abschneiden.",
    "Lay the cut edge on the line of thin dashes of the page with the same numbers, so that the halves of each "
    "diamond meet. Tape it down, row by row.": "Die Schnittkante an die d\u00fcnn gestrichelte Linie der Seite mit denselben Nummern legen, so dass die "
    "H\u00e4lften jeder Raute zusammentreffen. Reihe f\u00fcr Reihe festkleben.",
    "No piece is larger than a page: nothing is to be joined.": "Kein Teil ist gr\u00f6\u00dfer als eine Seite: nichts ist zu verbinden.",
    "Cut the pieces out along the wide lines.": "Die Teile an den breiten Linien ausschneiden.",
    "How to join the pages": "So werden die Seiten verbunden",
    "How the pages lie together": "So liegen die Seiten zusammen",
    "Pieces and their pages": "Teile und ihre Seiten",
    "{first} to {last}": "{first} bis {last}",
    "Left out, since no line lies there: {pages}": "Ausgelassen, weil dort keine Linie liegt: {pages}",
    "{tile} (row {row}, column {column}), page {number} of {pages}": "{tile} (Reihe {row}, Spalte {column}), Seite {number} von {pages}",
    "{tile}, {number} of {pages}": "{tile}, {number} von {pages}",
}

_FRENCH = {
    # a piece
    "Cut {count}": "Couper {count} fois",
    "Cut {count} for {purpose}": "Couper {count} fois pour {purpose}",
    "{cut} on fold": "{cut} au pli",
    "{cut}, on fold": "{cut}, au pli",
    "{cut}, drawn whole": "{cut}, dessin\u00e9 en entier",
    "{cut}, a mirrored pair": "{cut}, en miroir",
    "{cut}, as mirrored pairs": "{cut}, par paires en miroir",
    "{cut}, a mirrored pair: as drawn the left": "{cut}, en miroir\u00a0: dessin\u00e9e la gauche",
    "{cut}, a mirrored pair: as drawn the right": "{cut}, en miroir\u00a0: dessin\u00e9e la droite",
    "{cut}, for the left side": "{cut}, pour le c\u00f4t\u00e9 gauche",
    "{cut}, for the right side": "{cut}, pour le c\u00f4t\u00e9 droit",
    "{cut}, whole: left and right differ": "{cut}, en entier\u00a0: gauche et droite diff\u00e8rent",
    "left of the body": "c\u00f4t\u00e9 gauche du corps",
    "right of the body": "c\u00f4t\u00e9 droit du corps",
    "outside cloth": "tissu du dessus",
    "{layer}: right side of the cloth up": "{layer}\u00a0: endroit du tissu dessus",
    "piece {number} of {count}": "pi\u00e8ce {number} sur {count}",
    "date {date}": "date {date}",
    "measured {date}": "mesur\u00e9 {date}",
    "chosen: {list}": "choisi\u00a0: {list}",
    "rules {letters}": "r\u00e8gles {letters}",
    "fitted {date}": "essay\u00e9 le {date}",
    "{count} fittings, the last {date}": "{count} essayages, le dernier le {date}",
    "Also cut {count} {what}": "Couper aussi {count} fois\u00a0: {what}",
    "Also cut {count} {what}, right side of the cloth down": "Couper aussi {count} fois, endroit du tissu dessous\u00a0: {what}",
    "{cut}, along the stitching line": "{cut}, sur la ligne de couture",
    "lining": "doublure",
    "facing": "parementure",
    "interfacing": "entoilage",
    "none": "aucune",
    "{width} for zip": "{width} pour fermeture",
    "{width} turned up": "{width} d'ourlet",
    "{width} faced": "{width} avec parementure",
    "{width} bound": "{width} bord\u00e9",
    "Net: no seam allowances": "Sans valeurs de couture",
    "Seam allowances included: {list}": "Valeurs de couture comprises\u00a0: {list}",
    "place on fold": "au pli du tissu",
    "bone {length}": "baleine {length}",
    "zip {length}, to here": "fermeture {length}, jusqu'ici",
    # the sheet
    "version {version}": "version {version}",
    "drafted for {name}": "trac\u00e9 pour {name}",
    "drafted for {name}, {house}": "trac\u00e9 pour {name}, {house}",
    "Scale 1 : 1, drawn in millimetres": "\u00c9chelle 1 : 1, dessin\u00e9 en millim\u00e8tres",
    "Lengths in words are in inches, to the nearest 1/{part}": "Longueurs du texte en pouces, au 1/{part} pr\u00e8s",
    "Lengths in words are in {unit}": "Longueurs du texte en {unit}",
    "centimetres": "centim\u00e8tres",
    "inches": "pouces",
    "millimetres": "millim\u00e8tres",
    "Print at 100\u00a0%, not fitted to the page. Measure this square across and down before cutting: "
    "each side must be 100\u00a0mm.": "Imprimer \u00e0 100\u00a0%, sans ajuster \u00e0 la page. Avant de couper, mesurer ce carr\u00e9 en largeur et en "
    "hauteur\u00a0: chaque c\u00f4t\u00e9 doit avoir 100\u00a0mm.",
    "(a hair under 3 15/16 in)": "(un rien sous 3 15/16 pouces)",
    "What the lines mean": "Ce que disent les lignes",
    # lines
    "cut here": "couper ici",
    "Foundation: not to be cut": "Patron de base\u00a0: ne pas couper",
    "outline of a foundation: not to be cut": "contour d'un patron de base\u00a0: ne pas couper",
    "sew here: stitching line": "coudre ici\u00a0: ligne de couture",
    "lay on the fold of the cloth, do not cut": "poser au pli du tissu, ne pas couper",
    "turn the hem up here": "relever l'ourlet ici",
    "centre line of a piece drawn whole": "ligne du milieu d'une pi\u00e8ce dessin\u00e9e en entier",
    "grain line: lay along the lengthwise thread": "droit-fil",
    "dart: sew from its mouth to the cross": "pince\u00a0: coudre de l'ouverture \u00e0 la croix",
    "fold of a dart, up to its folded end": "pli d'une pince, jusqu'\u00e0 son bout pli\u00e9",
    "pleat: fold on the chain line, lay the fold to the dashed line": "pli\u00a0: plier sur le trait mixte, poser sur la ligne de tirets",
    "level of the body, to check by": "hauteur du corps, pour v\u00e9rifier",
    "place for a part or a trimming": "place d'une pi\u00e8ce ou d'une garniture",
    "double line: lengthen or shorten the piece here": "ligne double\u00a0: allonger ou raccourcir la pi\u00e8ce ici",
    "stitching of a bone's channel": "piq\u00fbre d'une coulisse de baleine",
    "bone, drawn as long as it is cut": "baleine, dessin\u00e9e \u00e0 sa longueur de coupe",
    "drill hole, circled": "trou de per\u00e7age, encercl\u00e9",
    "the place that is named beside it": "l'endroit nomm\u00e9 \u00e0 c\u00f4t\u00e9",
    "button": "bouton",
    "buttonhole": "boutonni\u00e8re",
    "hook": "agrafe",
    "loop or eye": "bride ou porte",
    "on one piece": "sur une seule pi\u00e8ce",
    "left only": "\u00e0 gauche seulement",
    "right only": "\u00e0 droite seulement",
    "opening, left only": "ouverture, \u00e0 gauche seulement",
    "opening, right only": "ouverture, \u00e0 droite seulement",
    "{place}, on the left": "{place}, \u00e0 gauche",
    "{place}, on the right": "{place}, \u00e0 droite",
    "button on one piece, hole in the other": "bouton sur une pi\u00e8ce, boutonni\u00e8re dans l'autre",
    "may be cut in two here: add a seam allowance to either part": "peut \u00eatre coup\u00e9 ici en deux\u00a0: ajouter une valeur de couture aux deux parties",
    "end of the zip opening": "fin de l'ouverture de la fermeture",
    "notch: match with its fellow": "cran\u00a0: \u00e0 raccorder avec son pareil",
    # the nest of sizes
    "size {size}": "taille {size}",
    "sizes {list}": "tailles {list}",
    "Sizes": "Tailles",
    "{size}, base size": "{size}, taille de base",
    "wide: cut here; thin: stitching line": "large\u00a0: couper ici\u00a0; fin\u00a0: ligne de couture",
    "growth: one place, from size to size": "\u00e9volution\u00a0: un point, de taille en taille",
    "where the sizes are laid together": "ici les tailles sont superpos\u00e9es",
    "all sizes meet at: {place}": "toutes les tailles se rejoignent \u00e0\u00a0: {place}",
    # pages
    "edge of a page: cut it away here": "bord d'une page\u00a0: couper ici",
    "lay the cut edge of the next page here": "poser ici le bord coup\u00e9 de la page suivante",
    "This bar is {length}": "Cette barre fait {length}",
    "Scale 1 : 1. Paper: {paper}.": "\u00c9chelle 1 : 1. Papier\u00a0: {paper}.",
    "Scale 1 : 1. Paper: {paper}, lying on its side.": "\u00c9chelle 1 : 1. Papier\u00a0: {paper}, couch\u00e9.",
    "{count} page of pieces after this one.": "Ensuite {count} page de pi\u00e8ces.",
    "{count} pages of pieces after this one.": "Ensuite {count} pages de pi\u00e8ces.",
    "Neighbours share {length}.": "Les voisines partagent {length}.",
    "Pages lie edge to edge.": "Les pages se posent bord \u00e0 bord.",
    "Print at 100\u00a0%, at actual size, never fitted to the page.": "Imprimer \u00e0 100\u00a0%, en taille r\u00e9elle, sans jamais ajuster \u00e0 la page.",
    "Print this page first. Measure this square, which is 100\u00a0mm each way, and both long bars. "
    "If one of them is wrong, every piece would be.": "Imprimer d'abord cette page. Mesurer ce carr\u00e9, qui fait 100\u00a0mm dans les deux sens, et les deux "
    "longues barres. Si l'un est faux, toutes les pi\u00e8ces le seraient.",
    "Pages are named by row and column: 2-3 is the third page of row 2. Numbered diamonds stand where pages are "
    "joined.": "Les pages sont nomm\u00e9es par rang et colonne\u00a0: 2-3 est la troisi\u00e8me page du rang 2. Des losanges "
    "num\u00e9rot\u00e9s marquent les raccords.",
    "The right or lower page of two has a thin trimming line: cut its edge away there.": "De deux pages, celle de droite ou du bas a un trait de coupe fin\u00a0: y couper le bord.",
    "Lay the cut edge on the line of thin dashes of the page with the same numbers, so that the halves of each "
    "diamond meet. Tape it down, row by row.": "Poser le bord coup\u00e9 sur le fin tiret\u00e9 de la page aux m\u00eames num\u00e9ros, pour que les moiti\u00e9s de "
    "chaque losange se rejoignent. Coller rang par rang.",
    "No piece is larger than a page: nothing is to be joined.": "Aucune pi\u00e8ce n'est plus grande qu'une page\u00a0: rien \u00e0 raccorder.",
    "Cut the pieces out along the wide lines.": "D\u00e9couper les pi\u00e8ces le long des traits larges.",
    "How to join the pages": "Comment raccorder les pages",
    "How the pages lie together": "Comment les pages se suivent",
    "Pieces and their pages": "Les pi\u00e8ces et leurs pages",
    "{first} to {last}": "{first} \u00e0 {last}",
    "Left out, since no line lies there: {pages}": "Omises, car aucune ligne n'y passe\u00a0: {pages}",
    "{tile} (row {row}, column {column}), page {number} of {pages}": "{tile} (rang {row}, colonne {column}), page {number} sur {pages}",
    "{tile}, {number} of {pages}": "{tile}, {number} sur {pages}",
}

_LISTED = (*list_words.WORDS, *hand_words.WORDS, *garment_words.WORDS, *making_up_words.WORDS)
_TABLES = {
    "de": {english: german for english, german, _ in _LISTED} | _GERMAN,
    "fr": {english: french for english, _, french in _LISTED} | _FRENCH,
}
