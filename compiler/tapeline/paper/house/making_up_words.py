"""The fixed words of the making-up sheet: English, German, French.

NOT REVIEWED: written from general knowledge of the two trades' speech, and not read by a cutter who speaks the language.
"""

from __future__ import annotations

WORDS: tuple[tuple[str, str, str], ...] = (
    (
        "page {number} of {count}",
        "Seite {number} von {count}",
        "page {number} sur {count}",
    ),
    (
        "{style}, made up for {name}",
        "{style}, genäht für {name}",
        "{style}, monté pour {name}",
    ),
    (
        "{above} on {below}",
        "{above} auf {below}",
        "{above} sur {below}",
    ),
    (
        "{pairs}. Dashed: the piece below. Wide: sewn.",
        "{pairs}. Gestrichelt: das untere Teil. Breit: genäht.",
        "{pairs}. Tirets\u00a0: la pièce du dessous. Trait large\u00a0: cousu.",
    ),
    (
        "The order is one in which every edge can be reached when its turn comes; orders of work differ between makers. Finish and press each seam before another crosses it.",
        "In dieser Reihenfolge ist jede Kante erreichbar, wenn sie an der Reihe ist; die Reihenfolgen der Werkstätten sind verschieden. Jede Naht versäubern und bügeln, bevor eine andere sie kreuzt.",
        "Dans cet ordre chaque bord reste accessible quand vient son tour\u00a0; les ordres de montage varient d'un atelier à l'autre. Surfiler et repasser chaque couture avant qu'une autre la croise.",
    ),
    (
        "Cautions",
        "Vorsicht",
        "Précautions",
    ),
    (
        "Steps",
        "Schritte",
        "Étapes",
    ),
    (
        "{piece}: {dart}, {intake} at the edge and {length} long; press toward the centre: its end is cut for that.",
        "{piece}: {dart}, {intake} an der Kante und {length} lang; zur Mitte hin bügeln: dafür ist sein Ende geschnitten.",
        "{piece}\u00a0: {dart}, {intake} au bord et {length} de long\u00a0; coucher vers le milieu\u00a0: son bout est coupé pour cela.",
    ),
    (
        "{piece}: {dart}, {intake} at the edge and {length} long; press toward {edge}: its end is cut for that.",
        "{piece}: {dart}, {intake} an der Kante und {length} lang; zur Kante {edge} hin bügeln: dafür ist sein Ende geschnitten.",
        "{piece}\u00a0: {dart}, {intake} au bord et {length} de long\u00a0; coucher vers {edge}\u00a0: son bout est coupé pour cela.",
    ),
    (
        "{piece}: {dart}, within the piece; sew from its middle to either point.",
        "{piece}: {dart}, innerhalb des Teils; von der Mitte zu beiden Spitzen nähen.",
        "{piece}\u00a0: {dart}, dans la pièce\u00a0; coudre du milieu vers chaque pointe.",
    ),
    (
        "Sew {one} to {other}: {edge}",
        "{one} an {other} nähen: {edge}",
        "Coudre {one} à {other}\u00a0: {edge}",
    ),
    (
        "Stitches of 2 to 2.5\u00a0mm, 10 to 12 to the inch.",
        "Stiche von 2 bis 2,5\u00a0mm, 10 bis 12 auf den Zoll.",
        "Points de 2 à 2,5\u00a0mm, 10 à 12 par pouce.",
    ),
    (
        ", {count} times",
        ", {count} x",
        ", {count} fois",
    ),
    (
        "Zip: {length}, in {places}.",
        "Reißverschluss: {length}, in {places}.",
        "Fermeture\u00a0: {length}, dans {places}.",
    ),
    (
        "Zip: {length}, on the left, in {places}.",
        "Reißverschluss: {length}, links, in {places}.",
        "Fermeture\u00a0: {length}, à gauche, dans {places}.",
    ),
    (
        "Zip: {length}, on the right, in {places}.",
        "Reißverschluss: {length}, rechts, in {places}.",
        "Fermeture\u00a0: {length}, à droite, dans {places}.",
    ),
    (
        "Overcast the edges, and let the zip in while the seam is open.",
        "Die Kanten versäubern und den Reißverschluss einsetzen, solange die Naht offen ist.",
        "Surfiler les bords et poser la fermeture tant que la couture est ouverte.",
    ),
    (
        "Sew from the edge to the point, the last {length} in short stitches and off the fold; tie the ends.",
        "Von der Kante zur Spitze nähen, die letzten {length} mit kurzen Stichen und über den Bruch hinaus; die Fäden verknoten.",
        "Coudre du bord à la pointe, les derniers {length} à petits points et jusqu'hors du pli\u00a0; nouer les fils.",
    ),
    (
        "Press flat as sewn, then over a ham.",
        "Flach bügeln, wie genäht, dann über dem Bügelkissen.",
        "Repasser à plat, puis sur un coussin.",
    ),
    (
        "{piece}: {dart}, {intake} at the edge; lay it toward {edge}: its end is cut for that.",
        "{piece}: {dart}, an der Kante {intake}; zu {edge} legen: das Ende ist danach zugeschnitten.",
        "{piece}\u00a0: {dart}, {intake} au bord\u00a0; la coucher vers {edge}\u00a0: son bout est coupé pour cela.",
    ),
    (
        "Fold notch on notch, baste across the edge, and leave the fold free below; do not press it flat.",
        "Knips auf Knips legen, quer zur Kante heften und die Falte darunter frei lassen; nicht flach bügeln.",
        "Plier cran sur cran, bâtir en travers du bord et laisser le pli libre dessous\u00a0; ne pas le repasser à plat.",
    ),
    (
        "{piece}: {count} pleats.",
        "{piece}: {count} Falten.",
        "{piece}\u00a0: {count} plis.",
    ),
    (
        "Fold each on its fold line, lay the fold to the dashed line, and baste across the edge.",
        "Jede an ihrer Bruchlinie falten, an die gestrichelte Linie legen und quer zur Kante heften.",
        "Plier chacun sur sa ligne de pli, le poser sur les tirets et bâtir en travers du bord.",
    ),
    (
        "Press under a cloth, the basting still in.",
        "Unter einem Tuch bügeln, geheftet.",
        "Repasser sous une pattemouille, bâti.",
    ),
    (
        "On the wrong side of: {pieces}.",
        "Auf die linke Seite von: {pieces}.",
        "Sur l'envers de\u00a0: {pieces}.",
    ),
    (
        "Try it on a scrap first. Set the iron down and lift it, without pushing; let it cool flat.",
        "Erst an einem Rest versuchen. Das Eisen aufsetzen und abheben, nicht schieben; flach auskühlen lassen.",
        "Essayer d'abord sur une chute. Poser le fer et le lever, sans le pousser\u00a0; laisser refroidir à plat.",
    ),
    (
        "Lay {layers} on the wrong side of: {pieces}.",
        "{layers} auf die linke Seite legen von: {pieces}.",
        "Poser {layers} sur l'envers de\u00a0: {pieces}.",
    ),
    (
        "Baste along all edges, curled over the hand as it will be worn; both are sewn as one from here on.",
        "Ringsum heften, über der Hand gerundet wie getragen; von hier an werden beide als eines genäht.",
        "Bâtir tout autour, arrondi sur la main comme porté\u00a0; les deux se cousent désormais comme un seul.",
    ),
    (
        "{place}: tape{note}, {length}.",
        "{place}: Band{note}, {length}.",
        "{place}\u00a0: ruban{note}, {length}.",
    ),
    (
        "Within the allowance, just beside the stitching line; the edge is eased to the tape, not the tape to the edge.",
        "In der Zugabe, knapp neben der Nahtlinie; die Kante wird auf das Band eingehalten, nicht das Band auf die Kante.",
        "Dans la valeur de couture, tout près de la ligne\u00a0; on soutient le bord sur le ruban, non le ruban sur le bord.",
    ),
    (
        "{pieces}: the same darts and seams as outside, those at openings left open.",
        "{pieces}: dieselben Abnäher und Nähte wie außen, an Öffnungen offen gelassen.",
        "{pieces}\u00a0: les mêmes pinces et coutures que dehors, laissées ouvertes aux ouvertures.",
    ),
    (
        "Wrong sides together, seams on seams; baste along {edges}.",
        "Links auf links, Naht auf Naht; heften an: {edges}.",
        "Envers contre envers, couture sur couture\u00a0; bâtir le long de\u00a0: {edges}.",
    ),
    (
        "Fold its darts the other way than those outside.",
        "Seine Abnäher in die andere Richtung legen als die äußeren.",
        "Coucher ses pinces dans l'autre sens que celles du dehors.",
    ),
    (
        "Right sides together along: {places}.",
        "Rechts auf rechts an: {places}.",
        "Endroit contre endroit le long de\u00a0: {places}.",
    ),
    (
        "Trim one allowance more than the other, clip curves; press to the {layer} and understitch.",
        "Die Zugaben abgestuft zurückschneiden, Rundungen einschneiden; zum {layer} hin bügeln und darauf niedersteppen.",
        "Dégrader les valeurs, cranter les courbes\u00a0; coucher vers la {layer} et sous-piquer.",
    ),
    (
        "Turn, press, and catch the facing down at the seams alone.",
        "Wenden, bügeln und den Besatz nur an den Nähten festnähen.",
        "Retourner, repasser, et ne fixer la parementure qu'aux coutures.",
    ),
    (
        "Turn and press. Where no other edge is open, leave a hand's width unsewn to turn through, and fell it.",
        "Wenden und bügeln. Wo keine andere Kante offen ist, eine Handbreit zum Wenden offen lassen und von Hand schließen.",
        "Retourner et repasser. Si aucun autre bord n'est ouvert, laisser une largeur de main pour retourner, et la fermer à la main.",
    ),
    (
        "Bind: {places}.",
        "Einfassen: {places}.",
        "Border\u00a0: {places}.",
    ),
    (
        "Sew the bias strip on right sides together, turn it over the edge, fell it to the stitching inside.",
        "Den Schrägstreifen rechts auf rechts annähen, um die Kante legen und innen an der Naht ansäumen.",
        "Coudre le biais endroit contre endroit, le rabattre sur le bord, le fixer dedans sur la couture.",
    ),
    (
        "Face: {places}.",
        "Belegen: {places}.",
        "Parementer\u00a0: {places}.",
    ),
    (
        "The style cuts no facing for it: a bias strip, or a facing cut to the edge.",
        "Der Schnitt hat keinen Besatz dafür: ein Schrägstreifen, oder ein Besatz nach der Kante geschnitten.",
        "Le modèle n'en coupe pas la parementure\u00a0: un biais, ou une parementure coupée sur le bord.",
    ),
    (
        "Overcast or turn in: {places}.",
        "Versäubern oder einschlagen: {places}.",
        "Surfiler ou rentrer\u00a0: {places}.",
    ),
    (
        "Turn up {width}: {places}.",
        "{width} umschlagen: {places}.",
        "Relever {width}\u00a0: {places}.",
    ),
    (
        "Finish the edge, press the fold, catch the hem down by hand, loosely, or blind-stitch it.",
        "Die Kante versäubern, den Bruch bügeln, den Saum lose von Hand oder mit Blindstich annähen.",
        "Surfiler le bord, repasser le pli, fixer l'ourlet à la main, sans serrer, ou à points invisibles.",
    ),
    (
        "{place}: {count} of {length}.",
        "{place}: {count} von {length}.",
        "{place}\u00a0: {count} de {length}.",
    ),
    (
        "Measure each channel as sewn before a bone is cut; cap or round both ends.",
        "Jeden Kanal genäht messen, bevor ein Stab geschnitten wird; beide Enden kappen oder runden.",
        "Mesurer chaque coulisse cousue avant de couper une baleine\u00a0; coiffer ou arrondir les deux bouts.",
    ),
    (
        "From here on no seam may cross a bone.",
        "Von hier an darf keine Naht einen Stab kreuzen.",
        "Désormais aucune couture ne doit croiser une baleine.",
    ),
    (
        "Turn in {places}, and fell it to the tape of the zip, clear of the teeth.",
        "{places} einschlagen und am Band des Reißverschlusses ansäumen, frei von den Zähnen.",
        "Rentrer {places} et fixer sur le ruban de la fermeture, à l'écart des dents.",
    ),
    (
        "{count} buttons of {size}{note}.",
        "{count} Knöpfe von {size}{note}.",
        "{count} boutons de {size}{note}.",
    ),
    (
        "Sew the two of {piece} together: {edge}",
        "Die beiden von {piece} zusammennähen: {edge}",
        "Assembler les deux de {piece}\u00a0: {edge}",
    ),
    (
        "Close {piece}: {one} to {other}",
        "{piece} schließen: {one} an {other}",
        "Fermer {piece}\u00a0: {one} à {other}",
    ),
    (
        "In the style's own words",
        "In den Worten des Schnittes",
        "Selon les mots du modèle",
    ),
    (
        "Fuse the interfacing",
        "Die Einlage aufbügeln",
        "Thermocoller l'entoilage",
    ),
    (
        "Lay the inner layers behind",
        "Die inneren Lagen hinterlegen",
        "Poser les couches intérieures",
    ),
    (
        "Tape: {pieces}",
        "Band: {pieces}",
        "Ruban\u00a0: {pieces}",
    ),
    (
        "Darts: {pieces}",
        "Abnäher: {pieces}",
        "Pinces\u00a0: {pieces}",
    ),
    (
        "Tucks: {pieces}",
        "Gelegte Falten: {pieces}",
        "Plis couchés\u00a0: {pieces}",
    ),
    (
        "Pleats: {pieces}",
        "Falten: {pieces}",
        "Plis\u00a0: {pieces}",
    ),
    (
        "Zip: {pieces}",
        "Reißverschluss: {pieces}",
        "Fermeture\u00a0: {pieces}",
    ),
    (
        "Make up the {layer}",
        "Lage nähen: {layer}",
        "Monter la couche\u00a0: {layer}",
    ),
    (
        "Lay in the {layer}",
        "Lage einlegen: {layer}",
        "Poser la couche\u00a0: {layer}",
    ),
    (
        "Sew on the {layer}: {edges}",
        "Lage annähen, {layer}: {edges}",
        "Coudre la couche, {layer}\u00a0: {edges}",
    ),
    (
        "Bind: {edges}",
        "Einfassen: {edges}",
        "Border\u00a0: {edges}",
    ),
    (
        "Face: {edges}",
        "Belegen: {edges}",
        "Parementer\u00a0: {edges}",
    ),
    (
        "Finish: {edges}",
        "Kanten fertigstellen: {edges}",
        "Finir les bords\u00a0: {edges}",
    ),
    (
        "Hem: {pieces}",
        "Saum: {pieces}",
        "Ourlet\u00a0: {pieces}",
    ),
    (
        "Bones: {pieces}",
        "Stäbe: {pieces}",
        "Baleines\u00a0: {pieces}",
    ),
    (
        "Fell the {layer} beside the zip",
        "Am Reißverschluss ansäumen: {layer}",
        "Fixer le long de la fermeture\u00a0: {layer}",
    ),
    (
        "{piece}: on the wrong side of the piece that it is cut for.",
        "{piece}: auf die linke Seite des Teils, für das sie geschnitten ist.",
        "{piece}\u00a0: sur l'envers de la pièce pour laquelle il est coupé.",
    ),
    (
        "Leave the stretch beside the zip open: {length}.",
        "Die Strecke neben dem Reißverschluss offen lassen: {length}.",
        "Laisser ouvert le long de la fermeture\u00a0: {length}.",
    ),
    ("{places}, laid on {onto}.", "{places}, auf {onto} gelegt.", "{places}, posé sur {onto}."),
    (
        "First baste edge on edge, behind the outside: {layers}.",
        "Erst hinter den Oberstoff heften, Kante auf Kante: {layers}.",
        "D'abord bâtir bord à bord, derrière le dessus\u00a0: {layers}.",
    ),
    ("Fastenings", "Verschlüsse", "Attaches"),
    ("{count} buttonholes of {size}{note}.", "{count} Knopflöcher von {size}{note}.", "{count} boutonnières de {size}{note}."),
    ("{count} hooks{note}.", "{count} Haken{note}.", "{count} agrafes{note}."),
    ("{count} loops{note}.", "{count} Schlaufen oder Ösen{note}.", "{count} brides ou portes{note}."),
    ("At the places marked on: {pieces}.", "An den Stellen auf: {pieces}.", "Aux endroits marqués sur\u00a0: {pieces}."),
    (
        "Before step {number}: {why}.",
        "Vor Schritt {number}: {why}.",
        "Avant l'étape {number}\u00a0: {why}.",
    ),
    (
        "Right sides together: {one} to that of its fellow, {length}{often}.",
        "Rechts auf rechts: {one} an dieselbe Kante des Gegenstücks, {length}{often}.",
        "Endroit contre endroit\u00a0: {one} au même bord de sa pareille, {length}{often}.",
    ),
    (
        "Right sides together: {one} to {other}, {length}{often}.",
        "Rechts auf rechts: {one} an {other}, {length}{often}.",
        "Endroit contre endroit\u00a0: {one} à {other}, {length}{often}.",
    ),
    (
        "Ease {one} in: it is {ease} longer.",
        "{one} einhalten: {ease} länger.",
        "Soutenir {one}\u00a0: {ease} de plus.",
    ),
    (
        "Gather {one} from {length} to {other_length}: two rows of long stitches within the allowance.",
        "{one} von {length} auf {other_length} kräuseln: zwei Reihen langer Stiche in der Zugabe.",
        "Froncer {one} de {length} à {other_length}\u00a0: deux rangs de longs points dans la valeur de couture.",
    ),
    (
        "Match the notches: on {one} {list} from its end at {edge}.",
        "Knipse aufeinander: an {one} {list} vom Ende bei {edge}.",
        "Raccorder les crans\u00a0: sur {one} à {list} de son bout à {edge}.",
    ),
    (
        "Ease {one} in, between its notches: it is {ease} longer.",
        "{one} zwischen den Knipsen einhalten: {ease} länger.",
        "Soutenir {one} entre ses crans\u00a0: {ease} de plus.",
    ),
    (
        "Leave open from {start} to {end}, measured along {one} from its end at {edge}.",
        "Offen lassen von {start} bis {end}, an {one} vom Ende bei {edge} gemessen.",
        "Laisser ouvert de {start} à {end}, mesuré sur {one} depuis son bout à {edge}.",
    ),
    (
        "On the left only, leave open from {start} to {end}, measured along {one} from its end at {edge}.",
        "Nur links offen lassen von {start} bis {end}, an {one} vom Ende bei {edge} gemessen.",
        "À gauche seulement, laisser ouvert de {start} à {end}, mesuré sur {one} depuis son bout à {edge}.",
    ),
    (
        "On the right only, leave open from {start} to {end}, measured along {one} from its end at {edge}.",
        "Nur rechts offen lassen von {start} bis {end}, an {one} vom Ende bei {edge} gemessen.",
        "À droite seulement, laisser ouvert de {start} à {end}, mesuré sur {one} depuis son bout à {edge}.",
    ),
    (
        "Clip the inward curve and notch the outward one, every {low} to {high}.",
        "Innenrundungen einschneiden, Außenrundungen auskerben, alle {low} bis {high}.",
        "Cranter la courbe rentrante et entailler la sortante, tous les {low} à {high}.",
    ),
    (
        "Press flat as sewn, then both allowances toward {piece}.",
        "Flach bügeln, wie genäht, dann beide Zugaben zu {piece} hin.",
        "Repasser à plat, puis coucher les deux valeurs vers {piece}.",
    ),
    (
        "Press flat as sewn, then open, over a ham.",
        "Flach bügeln, wie genäht, dann über dem Bügelkissen auseinander.",
        "Repasser à plat, puis ouvrir sur un coussin.",
    ),
    (
        "Press flat as sewn, then open.",
        "Flach bügeln, wie genäht, dann auseinander.",
        "Repasser à plat, puis ouvrir.",
    ),
    (
        "Then sew the rest of the seam, from the end of the zip.",
        "Dann den Rest der Naht nähen, vom Ende des Reißverschlusses an.",
        "Puis coudre le reste de la couture, depuis le bout de la fermeture.",
    ),
    (
        "Seam allowance: {width}.",
        "Nahtzugabe: {width}.",
        "Valeur de couture\u00a0: {width}.",
    ),
    (
        "Seam allowances: {list}.",
        "Nahtzugaben: {list}.",
        "Valeurs de couture\u00a0: {list}.",
    ),
    (
        "Wide: sewn.",
        "Breit: genäht.",
        "Trait large\u00a0: cousu.",
    ),
    (
        "Wide: the bone.",
        "Breit: der Stab.",
        "Trait large\u00a0: la baleine.",
    ),
    (
        "Dotted: the zip. Wide: sewn.",
        "Gepunktet: der Reißverschluss. Breit: genäht.",
        "Pointillé\u00a0: la fermeture. Trait large\u00a0: cousu.",
    ),
    (
        "Wide: the edge.",
        "Breit: die Kante.",
        "Trait large\u00a0: le bord.",
    ),
    (
        "the end of {place} is caught in it",
        "das Ende von {place} wird darin gefasst",
        "le bout de {place} y est pris",
    ),
    (
        "the end of {place} is caught under it",
        "das Ende von {place} liegt dann darunter",
        "le bout de {place} est pris dessous",
    ),
    (
        "{place} is then closed in",
        "{place} ist dann eingeschlossen",
        "{place} est alors enfermé",
    ),
    (
        "the end of the zip in {place} is caught under it",
        "das Ende des Reißverschlusses in {place} liegt dann darunter",
        "le bout de la fermeture dans {place} est pris dessous",
    ),
    (
        "the zip in {place} runs through it",
        "der Reißverschluss in {place} läuft hindurch",
        "la fermeture dans {place} le traverse",
    ),
    (
        "the bone in {place} lies along it",
        "der Stab {place} liegt daran",
        "la baleine {place} s'y appuie",
    ),
    (
        "a needle that meets the bone in {place} breaks",
        "eine Nadel, die den Stab {place} trifft, bricht",
        "une aiguille qui touche la baleine {place} casse",
    ),
    (
        "the channel in {place} is then closed",
        "der Kanal {place} ist dann geschlossen",
        "la coulisse {place} est alors fermée",
    ),
    (
        "{place} is caught in it",
        "{place} wird darin gefasst",
        "{place} y est pris",
    ),
    (
        "{place} no longer lies flat",
        "{place} liegt nicht mehr flach",
        "{place} n'est plus à plat",
    ),
    (
        "{place} must be made up for it",
        "{place} muss dafür genäht sein",
        "{place} doit être monté avant",
    ),
    (
        "Iron and steam burn: try cloth and heat on a scrap, keep hands out of the steam, switch off what you leave.",
        "Eisen und Dampf verbrennen: Stoff und Hitze an einem Rest versuchen, die Hände aus dem Dampf halten, ausschalten, was man verlässt.",
        "Le fer et la vapeur brûlent\u00a0: essayer tissu et chaleur sur une chute, garder les mains hors de la vapeur, éteindre ce qu'on quitte.",
    ),
    (
        "Blades: cut away from the hand, close shears and rotary cutters when you lay them down.",
        "Klingen: von der Hand weg schneiden, Scheren und Rollschneider beim Ablegen schließen.",
        "Lames\u00a0: couper loin de la main, fermer ciseaux et roulettes en les posant.",
    ),
    (
        "Needles and pins: count the pins, sew over none; a needle that strikes a pin, a zip's teeth or a bone breaks: shield the eyes.",
        "Nadeln: die Stecknadeln zählen, über keine nähen; eine Nadel, die auf Stecknadel, Reißverschluss oder Stab trifft, bricht: die Augen schützen.",
        "Aiguilles et épingles\u00a0: compter les épingles, n'en coudre aucune\u00a0; une aiguille qui heurte épingle, dents ou baleine casse\u00a0: protéger les yeux.",
    ),
    (
        "Bones: the ends of cut steel fly and are sharp. Shield the eyes, cap or round both ends, keep them clear of every seam.",
        "Stäbe: abgeschnittene Stahlenden fliegen und sind scharf. Die Augen schützen, beide Enden kappen oder runden, von jeder Naht frei halten.",
        "Baleines\u00a0: les bouts d'acier coupés volent et sont tranchants. Protéger les yeux, coiffer ou arrondir les deux bouts, les tenir loin de toute couture.",
    ),
    (
        "What is worn tight must leave breath and food their way. Who has doubts about a body asks a physician, not a pattern.",
        "Was eng getragen wird, muss Atem und Nahrung ihren Weg lassen. Wer an einem Körper zweifelt, fragt Ärztin oder Arzt, nicht den Schnitt.",
        "Ce qui se porte serré doit laisser passer l'air et la nourriture. En cas de doute on consulte un médecin, non un patron.",
    ),
    (
        "For a child: what the law where it is worn says of cords, small parts and cloth that burns goes before this sheet.",
        "Für ein Kind: was am Ort über Kordeln, Kleinteile und brennbaren Stoff gilt, geht diesem Blatt vor.",
        "Pour un enfant\u00a0: ce que dit la loi du lieu des cordons, des petites pièces et des tissus inflammables prime sur cette feuille.",
    ),
    (
        "So do the makers' words on machines, adhesives and dyes, and what is left to licensed trades where you work.",
        "Ebenso, was die Hersteller über Maschinen, Kleber und Farben sagen, und was vor Ort zugelassenen Gewerben vorbehalten ist.",
        "De même ce que disent les fabricants des machines, colles et teintures, et ce qui est réservé aux métiers agréés du lieu.",
    ),
)
