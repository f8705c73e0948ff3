"""What parts of garments are called on papers: names of levels, edges and layers that the standard library gives, and the plain
titles of pieces; English, German, French.

A name that is not here is the style's own and stays as it is.  NOT REVIEWED, as `words` says.
"""

from __future__ import annotations

WORDS: tuple[tuple[str, str, str], ...] = (
    # levels and edges
    ("neck", "Hals", "encolure"),
    ("neckline", "Halsausschnitt", "encolure"),
    ("shoulder", "Schulter", "épaule"),
    ("armhole", "Armloch", "emmanchure"),
    ("bust", "Brust", "poitrine"),
    ("underbust", "Unterbrust", "dessous de poitrine"),
    ("waist", "Taille", "taille"),
    ("high hip", "obere Hüfte", "petites hanches"),
    ("hip", "Hüfte", "hanches"),
    ("knee", "Knie", "genou"),
    ("hem", "Saum", "ourlet"),
    ("top", "Oberkante", "haut"),
    ("upper", "obere Kante", "bord supérieur"),
    ("lower", "untere Kante", "bord inférieur"),
    ("side", "Seite", "côté"),
    ("centre", "Mitte", "milieu"),
    ("left", "links", "gauche"),
    ("right", "rechts", "droite"),
    ("inner", "innen", "intérieur"),
    ("outer", "außen", "extérieur"),
    ("underlap", "Untertritt", "croisure"),
    ("close", "Verschluss", "fermeture"),
    ("fold line", "Umbruch", "ligne de pliure"),
    ("cap", "Armkugel", "tête de manche"),
    ("wrist", "Handgelenk", "poignet"),
    ("elbow", "Ellbogen", "coude"),
    ("others", "übrige", "autres"),
    # layers
    ("interlining", "Zwischenlage", "triplure"),
    ("strength layer", "Verstärkung", "couche de soutien"),
    # titles of pieces
    ("Front", "Vorderteil", "Devant"),
    ("Back", "Rückenteil", "Dos"),
    ("Side front", "Seitliches Vorderteil", "Côté devant"),
    ("Side back", "Seitliches Rückenteil", "Côté dos"),
    ("Centre front", "Vordere Mitte", "Milieu devant"),
    ("Centre back", "Hintere Mitte", "Milieu dos"),
    ("Front facing", "Vorderer Besatz", "Parementure devant"),
    ("Back facing", "Hinterer Besatz", "Parementure dos"),
    ("Front lining", "Futter vorn", "Doublure devant"),
    ("Back lining", "Futter hinten", "Doublure dos"),
    ("Front yoke", "Vordere Passe", "Empiècement devant"),
    ("Back yoke", "Hintere Passe", "Empiècement dos"),
    ("Front bodice", "Vorderes Oberteil", "Corsage devant"),
    ("Back bodice", "Hinteres Oberteil", "Corsage dos"),
    ("Skirt front", "Rock vorn", "Jupe devant"),
    ("Skirt back", "Rock hinten", "Jupe dos"),
    ("Waistband", "Bund", "Ceinture"),
    ("Sleeve", "Ärmel", "Manche"),
    ("Collar", "Kragen", "Col"),
    ("Cuff", "Manschette", "Poignet"),
    ("Pocket", "Tasche", "Poche"),
    ("Pocket bag", "Taschenbeutel", "Fond de poche"),
    ("Centre front gore", "Vordere Mittelbahn", "Panneau milieu devant"),
    ("Side front gore", "Vordere Seitenbahn", "Panneau côté devant"),
    ("Centre back gore", "Hintere Mittelbahn", "Panneau milieu dos"),
    ("Side back gore", "Hintere Seitenbahn", "Panneau côté dos"),
)
