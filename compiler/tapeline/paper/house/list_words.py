"""The fixed words of the cutting list: English, German, French.

NOT REVIEWED, as `words` says.
"""

from __future__ import annotations

WORDS: tuple[tuple[str, str, str], ...] = (
    ("Cutting list of {title} for {name}", "Zuschneideliste: {title} für {name}", "Liste de coupe\u00a0: {title} pour {name}"),
    (
        "{house}: cutting list of {title} for {name}",
        "{house}: Zuschneideliste, {title} für {name}",
        "{house}\u00a0: liste de coupe, {title} pour {name}",
    ),
    ("Note of the card: {note}", "Vermerk der Maßkarte: {note}", "Note de la fiche\u00a0: {note}"),
    ("done", "fertig", "fait"),
    ("Fittings that this draft has taken", "Anproben, nach denen dieser Schnitt geändert ist", "Essayages repris dans ce patron"),
    ("date", "Datum", "date"),
    ("change", "Änderung", "retouche"),
    # pieces
    ("Pieces", "Teile", "Pièces"),
    ("no.", "Nr.", "n°"),
    ("piece", "Teil", "pièce"),
    ("cut", "Zuschnitt", "coupe"),
    ("grain line", "Fadenlauf", "droit-fil"),
    ("size as cut", "Zuschnittmaß", "mesure coupée"),
    ("{count} for {purpose}", "{count} für {purpose}", "{count} pour {purpose}"),
    ("also {count} for {purpose}", "dazu {count} für {purpose}", "aussi {count} pour {purpose}"),
    (
        "also {count} for {purpose}, along the stitching line",
        "dazu {count} für {purpose}, auf der Nahtlinie",
        "aussi {count} pour {purpose}, sur la ligne de couture",
    ),
    ("{cut}, on the fold at {edge}", "{cut}, im Stoffbruch an {edge}", "{cut}, au pli à {edge}"),
    ("{cut}, {pairs} mirrored pairs", "{cut}, {pairs} Paare gegengleich", "{cut}, {pairs} paires en miroir"),
    ("{cut}, all alike", "{cut}, alle gleich", "{cut}, toutes pareilles"),
    ("straight down", "senkrecht", "vertical"),
    ("straight across", "quer", "horizontal"),
    ("{degrees} deg from straight down", "{degrees} Grad von der Senkrechten", "{degrees} degrés de la verticale"),
    (
        "Sizes are across and along the grain line, as cut, seam allowances included.",
        "Maße quer und längs zum Fadenlauf, wie zugeschnitten, mit Nahtzugaben.",
        "Mesures en travers et le long du droit-fil, comme coupé, valeurs de couture comprises.",
    ),
    (
        "A piece cut on the fold is given by its half.",
        "Von einem Teil im Stoffbruch ist die Hälfte angegeben.",
        "D'une pièce au pli est donnée la moitié.",
    ),
    (
        "The style gives no seam allowances: the pieces are net.",
        "Das Modell hat keine Nahtzugaben: die Teile sind ohne Zugabe.",
        "Le modèle ne donne pas de valeurs de couture\u00a0: les pièces sont nettes.",
    ),
    # cloth
    ("Cloth for {layer}", "Stoff für {layer}", "Tissu pour {layer}"),
    ("the garment", "das Kleidungsstück", "le vêtement"),
    ("{figure} square yards", "{figure} Quadratyard", "{figure} yards carrés"),
    ("{figure} m²", "{figure} m²", "{figure} m²"),
    (
        "{width} wide between the selvedges ({origin}),",
        "{width} breit zwischen den Webkanten ({origin}),",
        "{width} de large entre les lisières ({origin}),",
    ),
    ("asked for", "verlangt", "demandé"),
    ("stated by the style", "vom Modell angegeben", "donné par le modèle"),
    ("stated by the house", "vom Haus angegeben", "donné par la maison"),
    (
        "not stated: a common width, not from a source",
        "nicht angegeben: eine übliche Breite, ohne Quelle",
        "non donné\u00a0: une largeur courante, sans source",
    ),
    (
        "with nap: all pieces one way up.",
        "mit Strich: alle Teile in einer Richtung.",
        "avec sens\u00a0: toutes les pièces dans le même sens.",
    ),
    (
        "without nap: pieces may lie either way up.",
        "ohne Strich: Teile dürfen in beiden Richtungen liegen.",
        "sans sens\u00a0: les pièces peuvent être tête-bêche.",
    ),
    (
        "The pieces cover {area}, of which seam allowances {allowances}. Least possible length: {least}, {which}.",
        "Die Teile bedecken {area}, davon Nahtzugaben {allowances}. Kleinstmögliche Länge: {least}, {which}.",
        "Les pièces couvrent {area}, dont valeurs de couture {allowances}. Longueur minimale\u00a0: {least}, {which}.",
    ),
    ("the longest piece", "das längste Teil", "la pièce la plus longue"),
    ("their area over the width", "ihre Fläche durch die Breite", "leur surface divisée par la largeur"),
    ("Stripes of {repeat}: ", "Streifen von {repeat}: ", "Rayures de {repeat}\u00a0: "),
    ("Checks of {repeat}: ", "Karos von {repeat}: ", "Carreaux de {repeat}\u00a0: "),
    (
        "one repeat is added for each of the {count} pieces that lie one after another, so that each can begin where it matches.",
        "für jedes der {count} Teile, die hintereinander liegen, kommt ein Rapport dazu, damit jedes dort beginnen kann, wo es passt.",
        "un rapport est ajouté pour chacune des {count} pièces qui se suivent, pour que chacune puisse commencer où elle se raccorde.",
    ),
    (
        "Beside each piece off the fold a repeat is left free.",
        "Neben jedem Teil, das nicht am Bruch liegt, bleibt ein Rapport frei.",
        "À côté de chaque pièce hors du pli un rapport reste libre.",
    ),
    ("lay", "Schnittlage", "placement"),
    ("length", "Länge", "longueur"),
    ("above the least", "über der kleinsten", "au-dessus du minimum"),
    ("cloth used", "Stoff genutzt", "tissu utilisé"),
    ("to match", "für Rapport", "pour raccorder"),
    ("buy", "kaufen", "acheter"),
    ("folded along its length", "der Länge nach gefaltet", "plié dans la longueur"),
    ("open, one layer", "offen, einlagig", "ouvert, une épaisseur"),
    (
        "No shorter lay was found on open cloth.",
        "Auf offenem Stoff wurde keine kürzere Lage gefunden.",
        "Sur tissu ouvert aucun placement plus court n'a été trouvé.",
    ),
    (
        "Folded along its length the cloth is too narrow for a piece, so it is laid open.",
        "Der Länge nach gefaltet ist der Stoff für ein Teil zu schmal, darum liegt er offen.",
        "Plié dans la longueur le tissu est trop étroit pour une pièce\u00a0; il est donc ouvert.",
    ),
    (
        "{piece} is {across} across its thread and does not fit on this cloth as the style wants it; here it lies turned by a quarter, "
        "its thread across the cloth. Else take cloth at least so wide, or plan a seam in the piece.",
        "{piece} misst {across} quer zum Faden und passt so nicht auf diesen Stoff; hier liegt es um ein Viertel gedreht, "
        "der Faden quer zum Stoff. Sonst mindestens so breiten Stoff nehmen oder eine Naht in dem Teil vorsehen.",
        "{piece} fait {across} en travers du fil et n'entre pas ainsi sur ce tissu\u00a0; il est ici tourné d'un quart, "
        "le fil en travers du tissu. Sinon prendre un tissu au moins aussi large, ou prévoir une couture dans la pièce.",
    ),
    (
        "{piece} is {across} across its thread and does not fit on this cloth as the style wants it. So take cloth at least so wide, or "
        "plan a seam in the piece.",
        "{piece} misst {across} quer zum Faden und passt so nicht auf diesen Stoff. Mindestens so breiten Stoff nehmen oder "
        "eine Naht in dem Teil vorsehen.",
        "{piece} fait {across} en travers du fil et n'entre pas ainsi sur ce tissu. Prendre un tissu au moins aussi large, ou "
        "prévoir une couture dans la pièce.",
    ),
    (
        "There are more than {most} pieces; a lay of so many is not tried.",
        "Es sind mehr als {most} Teile; eine Lage von so vielen wird nicht versucht.",
        "Il y a plus de {most} pièces\u00a0; un placement d'autant de pièces n'est pas essayé.",
    ),
    (
        'On folded cloth cut no. {list} where it is marked "one" through the upper layer only; what lies under it is left over.',
        "Auf gefaltetem Stoff Nr. {list}, wo „eins“ steht, nur durch die obere Lage schneiden; was darunter liegt, bleibt übrig.",
        "Sur tissu plié couper n° {list} marqué «\u00a0une\u00a0» dans l'épaisseur du dessus seulement\u00a0; ce qui est dessous reste.",
    ),
    (
        "Each piece is cut once: lay the cloth open, in one layer.",
        "Jedes Teil wird einmal zugeschnitten: den Stoff offen, einlagig auslegen.",
        "Chaque pièce est coupée une fois\u00a0: étendre le tissu ouvert, en une épaisseur.",
    ),
    (
        "On open cloth the right side of the cloth lies up.",
        "Bei offenem Stoff liegt die rechte Stoffseite oben.",
        "Sur tissu ouvert, l'endroit du tissu est dessus.",
    ),
    (
        "Fold the cloth wrong sides together, its right side up: folded right sides together it would give no. {list} mirrored.",
        "Den Stoff links auf links falten, die rechte Seite oben: rechts auf rechts gefaltet ergäbe er Nr. {list} spiegelverkehrt.",
        "Plier le tissu envers contre envers, l'endroit dessus\u00a0: plié endroit contre endroit, il donnerait n° {list} inversé.",
    ),
    ("one", "eins", "une"),
    ("selvedge", "Webkante", "lisière"),
    ("selvedges", "Webkanten", "lisières"),
    ("fold", "Bruch", "pli"),
    (
        "Arrows point to the upper end of each piece.",
        "Pfeile zeigen zum oberen Ende jedes Teils.",
        "Les flèches montrent le haut de chaque pièce.",
    ),
    (
        "Hatched: the pattern lies face down.",
        "Schraffiert: der Schnitt liegt mit der Schrift nach unten.",
        "Hachuré\u00a0: le patron est posé à l'envers.",
    ),
    (
        "Marked “one”: only one is wanted.",
        "Mit „eins“ bezeichnet: nur eines wird gebraucht.",
        "Marqué «\u00a0une\u00a0»\u00a0: une seule est voulue.",
    ),
    # notions
    (
        "Notions: zip, buttons, hooks, tape",
        "Zutaten: Reißverschluss, Knöpfe, Haken, Band",
        "Fournitures\u00a0: fermeture, boutons, agrafes, ruban",
    ),
    ("what", "was", "quoi"),
    ("how many", "wie viele", "combien"),
    ("size", "Größe", "mesure"),
    ("where", "wo", "où"),
    ("note", "Vermerk", "note"),
    ("zip", "Reißverschluss", "fermeture à glissière"),
    ("buttons", "Knöpfe", "boutons"),
    ("hooks", "Haken", "agrafes"),
    ("loops or eyes", "Schlaufen oder Ösen", "brides ou portes"),
    ("buttonholes to work", "Knopflöcher zu arbeiten", "boutonnières à faire"),
    ("tape", "Band", "ruban"),
    (" and ", " und ", " et "),
    ("opening {length}", "Schlitz {length}", "ouverture {length}"),
    (
        "marked on {count} edges: one zip, if not planned otherwise",
        "an {count} Kanten bezeichnet: ein Reißverschluss, wenn nicht anders geplant",
        "marqué sur {count} bords\u00a0: une fermeture, sauf autre projet",
    ),
    ("{count} of {length}", "{count} zu {length}", "{count} de {length}"),
    ("Bones", "Stäbe", "Baleines"),
    ("channel", "Kanal", "coulisse"),
    ("bone", "Stab", "baleine"),
    ("channel length", "Länge des Kanals", "longueur de la coulisse"),
    (
        "{count} bones, {length} in all. A bone is its channel less the clearance at both ends, rounded down to a length that the house has.",
        "{count} Stäbe, zusammen {length}. Ein Stab ist sein Kanal ohne den Abstand an beiden Enden, abgerundet auf eine Länge, die das "
        "Haus hat.",
        "{count} baleines, {length} en tout. Une baleine est sa coulisse moins le jeu aux deux bouts, arrondie vers le bas à une longueur "
        "que la maison a.",
    ),
    # edges
    ("Hems and seam allowances", "Säume und Nahtzugaben", "Ourlets et valeurs de couture"),
    ("kind", "Art", "genre"),
    ("width", "Breite", "largeur"),
    ("length in all", "Länge zusammen", "longueur en tout"),
    ("plain", "einfach", "simple"),
    ("for zip", "für Reißverschluss", "pour fermeture"),
    ("turned up", "umgeschlagen", "ourlet"),
    ("faced", "mit Besatz", "avec parementure"),
    ("bound", "eingefasst", "bordé"),
    (
        "Length as sewn, darts closed, over all pieces of the first layer; both sides of a seam count.",
        "Länge wie genäht, Abnäher geschlossen, über alle Teile der ersten Lage; beide Seiten einer Naht zählen.",
        "Longueur comme cousu, pinces fermées, sur toutes les pièces de la première couche\u00a0; les deux côtés d'une couture comptent.",
    ),
    # cost
    ("What it costs by the house's prices", "Was es nach den Preisen des Hauses kostet", "Ce que cela coûte aux prix de la maison"),
    ("how much", "wie viel", "combien"),
    ("price", "Preis", "prix"),
    ("cost", "Kosten", "coût"),
    ("cloth", "Stoff", "tissu"),
    ("button", "Knöpfe", "boutons"),
    ("labour", "Arbeit", "travail"),
    ("each", "das Stück", "pièce"),
    ("a metre", "der Meter", "le mètre"),
    ("a yard", "das Yard", "le yard"),
    ("an hour", "die Stunde", "l'heure"),
    ("{figure} hours", "{figure} Stunden", "{figure} heures"),
    ("Together: {sum}.", "Zusammen: {sum}.", "Ensemble\u00a0: {sum}."),
    (
        "The house states no price for: {list}.",
        "Das Haus gibt keinen Preis an für: {list}.",
        "La maison ne donne pas de prix pour\u00a0: {list}.",
    ),
    # how it was reckoned
    ("How the cloth was reckoned", "Wie der Stoff berechnet wurde", "Comment le tissu a été calculé"),
    (
        "The program laid the pieces itself: one after another, each at the first place from the beginning of the cloth where it "
        "fits, in several orders, of which the shortest is shown, its pieces moved forward where there was room.",
        "Das Programm hat die Teile selbst gelegt: eines nach dem anderen, jedes an die erste Stelle vom Anfang des Stoffes, an die es "
        "passt, in mehreren Reihenfolgen, von denen die kürzeste gezeigt ist, ihre Teile vorgerückt, wo Platz war.",
        "Le programme a placé les pièces lui-même\u00a0: l'une après l'autre, chacune à la première place depuis le début du tissu où "
        "elle entre, dans plusieurs ordres, dont le plus court est montré, ses pièces avancées où il y avait place.",
    ),
    (
        "The same pieces are always laid in the same way. A practised cutter may do better, by hollows that open to the side.",
        "Gleiche Teile werden immer gleich gelegt. Eine geübte Zuschneiderin kann es besser, durch seitlich offene Buchten.",
        "Les mêmes pièces sont toujours placées de même. Une coupeuse exercée peut faire mieux, par les creux ouverts de côté.",
    ),
    (
        "The least possible length is the area of all pieces over the width, or the longest piece where that is more; no lay can be "
        "shorter.",
        "Die kleinstmögliche Länge ist die Fläche aller Teile durch die Breite, oder das längste Teil, wo das mehr ist; keine Lage kann "
        "kürzer sein.",
        "La longueur minimale est la surface de toutes les pièces divisée par la largeur, ou la pièce la plus longue si c'est plus\u00a0; "
        "aucun placement ne peut être plus court.",
    ),
    (
        "Pieces touch; their seam allowances are counted. Nothing is added for shrinking or straight ends, nor for patterns to match "
        "where the style states none.",
        "Teile berühren sich; ihre Nahtzugaben sind gezählt. Für Einlaufen und gerade Enden ist nichts zugegeben, für Muster nur, "
        "wo das Modell eines angibt.",
        "Les pièces se touchent\u00a0; leurs valeurs de couture sont comptées. Rien n'est ajouté pour le retrait ni les bouts droits, "
        "ni pour des motifs que le modèle ne donne pas.",
    ),
)
