"""The fixed words of the sheet for drawing by hand: English, German, French.

Its templates leave places by number; in each language they may stand in another order.  Names of points, edges and pieces in the steps
are the style's own in any language, since the small drawing shows them.  NOT REVIEWED, as `words` says.
"""

from __future__ import annotations

WORDS: tuple[tuple[str, str, str], ...] = (
    # the sheet
    ("{title}, for {name}", "{title}, für {name}", "{title}, pour {name}"),
    ("{title}, drafted by hand", "{title}, von Hand gezeichnet", "{title}, tracé à la main"),
    ("{title}, by hand", "{title}, von Hand", "{title}, à la main"),
    (
        "{title}, by hand, page {number} of {count}",
        "{title}, von Hand, Seite {number} von {count}",
        "{title}, à la main, page {number} sur {count}",
    ),
    ("Page {number}", "Seite {number}", "Page {number}"),
    (
        "Drafting sheet: to be drawn by hand with ruler, square, tape and curve.",
        "Zeichenblatt: von Hand zu zeichnen mit Lineal, Winkel, Maßband und Kurve.",
        "Feuille de tracé\u00a0: à dessiner à la main avec règle, équerre, ruban et pistolet.",
    ),
    ("Measures and choices", "Maße und Auswahl", "Mesures et choix"),
    ("How to read the steps", "So werden die Schritte gelesen", "Comment lire les étapes"),
    (
        "Level is straight across the paper, plumb straight down it; right, left, up and down are as the paper lies. "
        "A point named back.A is the point A of back. Words in round brackets explain; no figure that is needed stands in them.",
        "Waagrecht ist quer über das Papier, senkrecht gerade hinunter; rechts, links, hinauf und hinunter sind, wie das Papier liegt. "
        "Ein Punkt back.A ist der Punkt A von back. Worte in runden Klammern erklären; kein Maß, das gebraucht wird, steht darin.",
        "De niveau veut dire en travers du papier, d'aplomb tout droit vers le bas\u00a0; droite, gauche, haut et bas sont ceux du papier. "
        "Un point back.A est le point A de back. Les mots entre parenthèses expliquent\u00a0; aucune mesure utile ne s'y trouve.",
    ),
    (
        "Of a curve the steps say where it stands off the straight line between its ends: go so far along that line, then so far "
        "off it, square, to the side that is said. Draw one smooth line through these places.",
        "Von einer Kurve sagen die Schritte, wo sie von der Geraden zwischen ihren Enden absteht: so weit auf der Geraden gehen, dann so weit "
        "im rechten Winkel davon weg, nach der genannten Seite. Durch diese Stellen eine glatte Linie ziehen.",
        "D'une courbe les étapes disent où elle s'écarte de la droite entre ses bouts\u00a0: avancer d'autant sur la droite, puis s'en "
        "écarter d'autant, d'équerre, du côté dit. Tracer une ligne lisse par ces endroits.",
    ),
    (
        "Beside each edge stands its length as sewn. Where seams must match, measure, and shift the end of the edge until it agrees.",
        "Bei jeder Kante steht ihre genähte Länge. Wo Nähte zusammenpassen müssen, messen und das Ende der Kante verschieben, bis es stimmt.",
        "À côté de chaque bord est sa longueur cousue. Où des coutures doivent s'accorder, mesurer, et déplacer le bout du bord jusqu'à accord.",
    ),
    (
        "Where a length meets a line or another length, swing the tape; the last word says which of the two meetings is meant.",
        "Wo eine Länge eine Linie oder eine andere Länge trifft, das Maßband schwenken; das letzte Wort sagt, welcher der zwei Treffpunkte "
        "gemeint ist.",
        "Où une longueur rencontre une ligne ou une autre longueur, faire tourner le ruban\u00a0; le dernier mot dit laquelle des deux "
        "rencontres est voulue.",
    ),
    (
        "Every figure is rounded to {0}. Drawn from these figures no place comes to lie more than {1} from where it belongs",
        "Jedes Maß ist auf {0} gerundet. Danach gezeichnet liegt keine Stelle mehr als {1} von ihrem Platz",
        "Chaque mesure est arrondie à {0}. Tracé d'après elles aucun endroit ne tombe à plus de {1} de sa place",
    ),
    (" (at worst {0} of {1})", " (am weitesten {0} von {1})", " (au pire {0} de {1})"),
    (
        "On no seam do the two sides come out more than {0} more unlike, or less, than in the pattern (at worst {1}).",
        "An keiner Naht weichen die zwei Seiten um mehr als {0} anders ab als im Schnitt (am weitesten {1}).",
        "À aucune couture l'écart des deux côtés ne diffère de plus de {0} de celui du patron (au pire {1}).",
    ),
    (
        "Sewn from these figures no girth comes out more than {0} from the ledger's, for the whole body (at worst {1}).",
        "Danach genäht weicht kein Umfang um mehr als {0} von dem der Aufstellung ab, um den ganzen Körper (am weitesten {1}).",
        "Cousu d'après elles aucun tour ne s'écarte de plus de {0} de celui du relevé, pour tout le corps (au pire {1}).",
    ),
    ("Girths as sewn", "Umfänge wie genäht", "Tours comme cousus"),
    (
        "{0}: {1}: {2} in all, half {3}; the ledger has {4}.",
        "{0}: {1}: zusammen {2}, halb {3}; die Aufstellung hat {4}.",
        "{0}\u00a0: {1}\u00a0: {2} en tout, moitié {3}\u00a0; le relevé donne {4}.",
    ),
    ("{title} with its points", "{title} mit seinen Punkten", "{title} avec ses points"),
    (
        "Small drawing of {title}, not to scale; points named as in the steps: {list}.",
        "Kleine Zeichnung: {title}, nicht maßstäblich; Punkte wie in den Schritten: {list}.",
        "Petit dessin\u00a0: {title}, pas à l'échelle\u00a0; points nommés comme dans les étapes\u00a0: {list}.",
    ),
    # headings of steps
    ("How it is made", "Wie es entsteht", "Comment elle se fait"),
    ("Levels", "Höhen", "Hauteurs"),
    ("Points", "Punkte", "Points"),
    ("Widths", "Breiten", "Largeurs"),
    ("Darts", "Abnäher", "Pinces"),
    ("Lines", "Linien", "Lignes"),
    ("Marks", "Markierungen", "Repères"),
    ("Notches", "Knipse", "Crans"),
    # above the steps
    (
        "Not cut: other pieces are made from it.",
        "Nicht zuschneiden: andere Teile entstehen daraus.",
        "Ne pas couper\u00a0: d'autres pièces en sont faites.",
    ),
    ("These steps draw the stitching line.", "Diese Schritte zeichnen die Nahtlinie.", "Ces étapes tracent la ligne de couture."),
    ("Seam allowances to add: {list}", "Nahtzugaben anzufügen: {list}", "Valeurs de couture à ajouter\u00a0: {list}"),
    (
        "A round edge grows by more than its radius, so its figures are rounded to {0}.",
        "Eine runde Kante wächst um mehr als ihr Radius, darum sind ihre Maße auf {0} gerundet.",
        "Un bord rond grandit de plus que son rayon, ses mesures sont donc arrondies à {0}.",
    ),
    (
        "Sewn in {1} times over, so its figures are rounded to {0}.",
        "Wird {1} mal eingenäht, darum sind seine Maße auf {0} gerundet.",
        "Cousue {1} fois, ses mesures sont donc arrondies à {0}.",
    ),
    (
        "So that girths and seams come out, its figures are rounded to {0}.",
        "Damit Umfänge und Nähte aufgehen, sind seine Maße auf {0} gerundet.",
        "Pour que tours et coutures tombent juste, ses mesures sont arrondies à {0}.",
    ),
    ("Grain line: {0}.", "Fadenlauf: {0}.", "Droit-fil\u00a0: {0}."),
    ("plumb", "senkrecht", "d'aplomb"),
    ("level", "waagrecht", "de niveau"),
    (
        "{0} deg from plumb, its upper end to the {1}",
        "{0} Grad von der Senkrechten, das obere Ende nach {1}",
        "{0} degrés de l'aplomb, le bout du haut vers {1}",
    ),
    # points
    ("start", "Anfang", "départ"),
    ("start here", "hier anfangen", "partir d'ici"),
    ("from {0}", "von {0}", "de {0}"),
    ("halfway from {0} to {1}", "halbwegs von {0} zu {1}", "à mi-chemin de {0} à {1}"),
    ("{part} of the way from {0} to {1}", "{part} des Weges von {0} zu {1}", "à {part} du chemin de {0} à {1}"),
    ("on the centre line at the level of {0}", "auf der Mittellinie in der Höhe von {0}", "sur la ligne du milieu à la hauteur de {0}"),
    ("where {first} meets {second}", "wo {first} sich mit {second} trifft", "où {first} rencontre {second}"),
    (
        "on the line from {0} that halves its angle from {1} to {2}, {length} from {0}",
        "auf der Linie von {0}, die dessen Winkel von {1} zu {2} halbiert, {length} von {0}",
        "sur la ligne de {0} qui partage en deux son angle de {1} à {2}, à {length} de {0}",
    ),
    ("where the square from {0} meets {line}", "wo das Lot von {0} sich mit {line} trifft", "où l'équerre de {0} rencontre {line}"),
    (
        "where {radius} from {0} meets {line}, {side}",
        "wo {radius} von {0} sich mit {line} trifft, {side}",
        "où {radius} de {0} rencontre {line}, {side}",
    ),
    (
        "where {radius} from {0} meets {other} from {1}, {side}",
        "wo {radius} von {0} sich mit {other} von {1} trifft, {side}",
        "où {radius} de {0} rencontre {other} de {1}, {side}",
    ),
    ("the level of {0}", "der Höhe von {0}", "la hauteur de {0}"),
    ("the plumb of {0}", "der Senkrechten von {0}", "l'aplomb de {0}"),
    ("the line {0} to {1}", "der Linie {0} zu {1}", "la ligne {0} à {1}"),
    (
        "the line from {0} that halves its angle from {1} to {2}",
        "der Linie von {0}, die dessen Winkel von {1} zu {2} halbiert",
        "la ligne de {0} qui partage en deux son angle de {1} à {2}",
    ),
    ("toward {0} {length}", "gegen {0} {length}", "vers {0} {length}"),
    ("away from {0} {length}", "weg von {0} {length}", "en s'éloignant de {0} {length}"),
    (
        "square to the line {0} to {1}, {way} {length}",
        "im rechten Winkel zur Linie {0} zu {1}, {way} {length}",
        "d'équerre à la ligne {0} à {1}, {way} {length}",
    ),
    ("up", "hinauf", "haut"),
    ("down", "hinunter", "bas"),
    ("above", "oben", "dessus"),
    ("below", "unten", "dessous"),
    ("{way} {length}", "{way} {length}", "{way} {length}"),
    ("above it", "darüber", "au-dessus"),
    (
        "set out afresh, so that roundings do not add up",
        "neu ausgemessen, damit sich Rundungen nicht summieren",
        "repris à neuf, pour que les arrondis ne s'ajoutent pas",
    ),
    (
        "rounded so that girths and seams come out",
        "so gerundet, dass Umfänge und Nähte aufgehen",
        "arrondi pour que tours et coutures tombent juste",
    ),
    ("square to the edge there", "dort im rechten Winkel zur Kante", "d'équerre au bord à cet endroit"),
    ("{0} carried on by {1}", "{0} verlängert um {1}", "{0} prolongé de {1}"),
    ("{0} at {1} deg", "{0} unter {1} Grad", "{0} à {1} degrés"),
    ("{0} swung about {1}", "{0} um {1} geschwenkt", "{0} tourné autour de {1}"),
    (
        "its feet {0} apart when its legs are even",
        "seine Füße {0} auseinander, wenn die Schenkel gleich sind",
        "ses pieds à {0} l'un de l'autre quand ses jambes sont égales",
    ),
    # lines
    ("straight from {0} to {1}", "gerade von {0} zu {1}", "droit de {0} à {1}"),
    (
        "arc about {2} from {0} to {1}, the tape at {radius}",
        "Bogen um {2} von {0} zu {1}, das Band auf {radius}",
        "arc autour de {2} de {0} à {1}, le ruban à {radius}",
    ),
    (
        "curve from {0} to {1}, off the straight line between them: {offsets}",
        "Kurve von {0} zu {1}, ab von der Geraden dazwischen: {offsets}",
        "courbe de {0} à {1}, à l'écart de la droite entre eux\u00a0: {offsets}",
    ),
    ("at {along}: {off} {way}", "bei {along}: {off} {way}", "à {along}\u00a0: {off} {way}"),
    ("at {along}: on it", "bei {along}: darauf", "à {along}\u00a0: dessus"),
    ("{0} long as sewn", "genäht {0} lang", "cousu long de {0}"),
    (
        "square to the fold at {0}, no corner there",
        "bei {0} im rechten Winkel zum Bruch, dort keine Ecke",
        "d'équerre au pli à {0}, pas de coin là",
    ),
    ("no corner at {0}", "keine Ecke bei {0}", "pas de coin à {0}"),
    # steps
    (
        "square lines across a plumb centre line; down from {0}: {rows}",
        "Linien im rechten Winkel durch eine senkrechte Mittellinie; hinunter von {0}: {rows}",
        "lignes d'équerre à travers une ligne du milieu d'aplomb\u00a0; en bas de {0}\u00a0: {rows}",
    ),
    (
        "trace from {0}, start laid on start: {names}",
        "durchzeichnen von {0}, Anfang auf Anfang: {names}",
        "décalquer de {0}, départ sur départ\u00a0: {names}",
    ),
    (
        "legs {near}; {far}; laid toward {press}",
        "Schenkel {near}; {far}; gelegt gegen {press}",
        "jambes {near}\u00a0; {far}\u00a0; couchée vers {press}",
    ),
    (
        "; folded, its edge comes to a peak {length} {way} the straight line between its feet, on the fold",
        "; gefaltet hat seine Kante auf dem Bruch eine Spitze, {length} {way} der Geraden zwischen den Füßen",
        "\u00a0; pliée, son bord fait une pointe sur le pli, {length} {way} la droite entre ses pieds",
    ),
    ("beyond", "jenseits", "au-delà de"),
    ("short of", "diesseits", "en deçà de"),
    ("a dart within the piece: {sides}", "ein Abnäher im Teil: {sides}", "une pince dans la pièce\u00a0: {sides}"),
    (
        "fold along {fold}; lay the fold to {laid}",
        "falten an {fold}; den Bruch an {laid} legen",
        "plier sur {fold}\u00a0; poser le pli sur {laid}",
    ),
    ("as {0} of {1}, traced", "wie {0} von {1}, durchgezeichnet", "comme {0} de {1}, décalqué"),
    ("on {edge}, at {points}", "an {edge}, bei {points}", "sur {edge}, à {points}"),
    ("at {0}", "bei {0}", "à {0}"),
    ("{lines}", "{lines}", "{lines}"),
    (" to ", " zu ", " à "),
    ("each leg {0} long", "jeder Schenkel {0} lang", "chaque jambe longue de {0}"),
    ("the bone itself {0}", "der Stab selbst {0}", "la baleine même {0}"),
    # how a figure is reckoned
    ("taken in", "eingenommen", "repris"),
    ("darts", "Abnäher", "pinces"),
    ("{0}, and {1} = {2}", "{0}, und {1} = {2}", "{0}, et {1} = {2}"),
    ("the least of {0}", "das Kleinste von {0}", "le plus petit de {0}"),
    ("the greatest of {0}", "das Größte von {0}", "le plus grand de {0}"),
    ("the hypotenuse of {0} and {1}", "die Hypotenuse von {0} und {1}", "l'hypoténuse de {0} et {1}"),
    # how a piece is made from another
    (
        "{0} is drawn and then changed; its figures below are those after the changes.",
        "{0} wird gezeichnet und dann geändert; die Maße unten sind die nach den Änderungen.",
        "{0} est tracé puis changé\u00a0; ses mesures ci-dessous sont celles d'après les changements.",
    ),
    ("Trace {0} with its darts.", "{0} mit den Abnähern durchzeichnen.", "Décalquer {0} avec ses pinces."),
    ("{0} along {1} from {2}", "{0} entlang {1} von {2}", "{0} le long de {1} depuis {2}"),
    (", {0} of it", ", {0} davon", ", {0} de cela"),
    (", {0} of it at its mouth", ", {0} davon an der Öffnung", ", {0} de cela à l'ouverture"),
    ("leave the slash open as flare", "den Einschnitt als Weite offen lassen", "laisser l'entaille ouverte en ampleur"),
    ("the slash opens as the dart {0}", "der Einschnitt öffnet sich als Abnäher {0}", "l'entaille s'ouvre en pince {0}"),
    (
        "Slash from a place {0} to the point of {1}; turn the part beside it until {1} is closed{2}; {3}.",
        "Von der Stelle {0} bis zur Spitze von {1} einschneiden; den Teil daneben drehen, bis {1} geschlossen ist{2}; {3}.",
        "Entailler d'un endroit {0} jusqu'à la pointe de {1}\u00a0; tourner la partie à côté jusqu'à fermer {1}{2}\u00a0; {3}.",
    ),
    (
        "Cut along {0} to its point and close {1}{2}: {0} opens by as much.",
        "An {0} bis zur Spitze schneiden und {1} schließen{2}: {0} öffnet sich um ebenso viel.",
        "Couper le long de {0} jusqu'à sa pointe et fermer {1}{2}\u00a0: {0} s'ouvre d'autant.",
    ),
    (
        "Draw the point of {0} back along its fold by {1}; the feet stay.",
        "Die Spitze von {0} auf dem Bruch um {1} zurücknehmen; die Füße bleiben.",
        "Reculer la pointe de {0} sur son pli de {1}\u00a0; les pieds restent.",
    ),
    (
        "Lay {0} toward {1} as a tuck, unsewn below the edge, and cut its end as folded.",
        "{0} als Falte gegen {1} legen, unter der Kante nicht nähen, und das Ende gefaltet schneiden.",
        "Coucher {0} vers {1} en pli, sans le coudre sous le bord, et couper son bout plié.",
    ),
    (
        "Fold {0} toward {1} instead, and cut its end as folded.",
        "{0} stattdessen gegen {1} falten und das Ende gefaltet schneiden.",
        "Plier {0} plutôt vers {1}, et couper son bout plié.",
    ),
    (
        "Leave {0} unsewn: its mouth becomes part of the edge.",
        "{0} ungenäht lassen: die Öffnung wird Teil der Kante.",
        "Laisser {0} non cousu\u00a0: son ouverture devient partie du bord.",
    ),
    ("{0} by {1} each", "{0} um je {1}", "{0} de {1} chacune"),
    ("{0} by {1} in all", "{0} um zusammen {1}", "{0} de {1} en tout"),
    ("at {0} places, evenly", "an {0} Stellen, gleichmäßig", "à {0} endroits, régulièrement"),
    ("along the drawn lines", "an den gezeichneten Linien", "le long des lignes tracées"),
    ("evenly", "gleichmäßig", "régulièrement"),
    (
        "Slash from {0} to {1} {2}; open {3}, {4}; {5}draw the edges again, fair.",
        "Von {0} bis {1} einschneiden, {2}; {3} öffnen, {4}; {5}die Kanten neu und fließend zeichnen.",
        "Entailler de {0} à {1} {2}\u00a0; ouvrir {3}, {4}\u00a0; {5}retracer les bords, lisses.",
    ),
    ("the part at {0} stays where it is; ", "der Teil bei {0} bleibt, wo er ist; ", "la partie à {0} reste où elle est\u00a0; "),
    (
        "Slash from {0} to {1} for {2} pleats, {3}; {4}open each by twice its depth of {5} at {0} and {6} at {1}.",
        "Von {0} bis {1} für {2} Falten einschneiden, {3}; {4}jede um das Doppelte ihrer Tiefe öffnen, {5} an {0} und {6} an {1}.",
        "Entailler de {0} à {1} pour {2} plis, {3}\u00a0; {4}ouvrir chacun du double de sa profondeur, {5} à {0} et {6} à {1}.",
    ),
    ("the dart {0}", "dem Abnäher {0}", "la pince {0}"),
    ("the corner where {0} begins", "der Ecke, wo {0} beginnt", "le coin où commence {0}"),
    (", along the line that {0} is below", ", an der Linie, unter der {0} liegt", ", le long de la ligne sous laquelle est {0}"),
    ("; close {0}", "; {0} schließen", "\u00a0; fermer {0}"),
    (
        "Cut apart from {0} to {1}{2}{3}. The cut is the seam {4}.",
        "Von {0} bis {1} auseinanderschneiden{2}{3}. Der Schnitt ist die Naht {4}.",
        "Couper de {0} à {1}{2}{3}. La coupe est la couture {4}.",
    ),
    ("Keep the part with {0}.", "Den Teil mit {0} behalten.", "Garder la partie avec {0}."),
    (
        "Fold the darts; keep a band {0} deep along {1}.",
        "Die Abnäher falten; einen Streifen von {0} entlang {1} behalten.",
        "Plier les pinces\u00a0; garder une bande de {0} le long de {1}.",
    ),
    (", folded back on the piece", ", auf das Teil zurückgefaltet", ", repliée sur la pièce"),
    (" between {0} and a place {1}", " zwischen {0} und der Stelle {1}", " entre {0} et un endroit {1}"),
    (" between a place {0} and {1}", " zwischen der Stelle {0} und {1}", " entre un endroit {0} et {1}"),
    (", its end there sloping {0}", ", ihr Ende dort um {0} abgeschrägt", ", son bout y penchant de {0}"),
    (
        "Add a strip {0} wide along {1}{2}{3}{4}. The strip's edge is {5}.",
        "Einen Streifen von {0} Breite entlang {1} anfügen{2}{3}{4}. Die Kante des Streifens ist {5}.",
        "Ajouter une bande large de {0} le long de {1}{2}{3}{4}. Le bord de la bande est {5}.",
    ),
    (
        "Cut a strip {0} wide off along {1}.",
        "Einen Streifen von {0} Breite entlang {1} abschneiden.",
        "Couper une bande large de {0} le long de {1}.",
    ),
    (
        "Lay the other piece with its {0} on {1}; draw round both as one ({2}).",
        "Das andere Teil mit {0} auf {1} legen; um beide als eines zeichnen ({2}).",
        "Poser l'autre pièce avec son {0} sur {1}\u00a0; tracer autour des deux comme d'une ({2}).",
    ),
    ("Turn the piece over, left for right.", "Das Teil umdrehen, links für rechts.", "Retourner la pièce, gauche pour droite."),
    (
        "Fold the paper at {0} and trace the other half.",
        "Das Papier an {0} falten und die andere Hälfte durchzeichnen.",
        "Plier le papier à {0} et décalquer l'autre moitié.",
    ),
    (
        "Draw the other half beyond {0} by the figures below: it is that of the other side.",
        "Die andere Hälfte jenseits von {0} nach den Maßen unten zeichnen: sie ist die der anderen Seite.",
        "Tracer l'autre moitié au-delà de {0} d'après les chiffres ci-dessous\u00a0: c'est celle de l'autre côté.",
    ),
    (
        "As it lies on the paper, its right half is for the left side of the body, its left half for the right.",
        "Wie es auf dem Papier liegt, ist seine rechte Hälfte für die linke Körperseite, seine linke für die rechte.",
        "Posée ainsi sur le papier, sa moitié droite est pour le côté gauche du corps, sa moitié gauche pour le droit.",
    ),
    (
        "As it lies on the paper, its right half is for the right side of the body, its left half for the left.",
        "Wie es auf dem Papier liegt, ist seine rechte Hälfte für die rechte Körperseite, seine linke für die linke.",
        "Posée ainsi sur le papier, sa moitié droite est pour le côté droit du corps, sa moitié gauche pour le gauche.",
    ),
    (
        "Draw {0} again as one fair line, its darts folded.",
        "{0} mit gefalteten Abnähern neu als eine fließende Linie zeichnen.",
        "Retracer {0} en une seule ligne lisse, ses pinces pliées.",
    ),
    (
        "Take {0} in by {1}{2}{3}; draw its new line fair.",
        "{0} um {1} einnehmen{2}{3}; die neue Linie fließend zeichnen.",
        "Reprendre {0} de {1}{2}{3} ; tracer la nouvelle ligne bien lisse.",
    ),
    (
        "Let {0} out by {1}{2}{3}; draw its new line fair.",
        "{0} um {1} auslassen{2}{3}; die neue Linie fließend zeichnen.",
        "Élargir {0} de {1}{2}{3} ; tracer la nouvelle ligne bien lisse.",
    ),
    (
        "Raise {0} by {1}{2}{3}; draw its new line fair.",
        "{0} um {1} höher legen{2}{3}; die neue Linie fließend zeichnen.",
        "Remonter {0} de {1}{2}{3} ; tracer la nouvelle ligne bien lisse.",
    ),
    (
        "Drop {0} by {1}{2}{3}; draw its new line fair.",
        "{0} um {1} tiefer legen{2}{3}; die neue Linie fließend zeichnen.",
        "Descendre {0} de {1}{2}{3} ; tracer la nouvelle ligne bien lisse.",
    ),
    (" at {0}", " bei {0}", " à {0}"),
    (", to nothing at {0}", ", auslaufend bei {0}", ", en mourant à {0}"),
    (
        "Part the paper along the level {0} and spread it by {1}; straighten the edges across the join.",
        "Das Papier entlang der Höhe {0} durchschneiden und um {1} auseinanderlegen; die Kanten über die Fuge hinweg ausgleichen.",
        "Couper le papier le long du niveau {0} et l'écarter de {1} ; rectifier les bords par-dessus la coupe.",
    ),
    (
        "Fold a strip {1} deep out of the paper below the level {0}; straighten the edges across the fold.",
        "Unter der Höhe {0} einen Streifen von {1} Tiefe wegfalten; die Kanten über den Bruch hinweg ausgleichen.",
        "Replier une bande haute de {1} sous le niveau {0} ; rectifier les bords par-dessus le pli.",
    ),
)
