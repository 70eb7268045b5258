//! Titles, labels and text alternatives of the drawings.

super::messages! {
    lower_bearing_title:
        "Lower bearing, cut through",
        "Unteres Lager im Schnitt",
        "Roulement inférieur en coupe";
    lower_bearing_alt:
        "Section through the lower bearing between cup and crown race: the inner chamfer lies on the crown race below, the outer chamfer meets the cup above, and the face with the marking points up.",
        "Schnitt durch das untere Lager zwischen Schale und Gabelkonus: Die innere Schräge liegt unten auf dem Gabelkonus, die äußere Schräge trifft oben die Schale, die beschriftete Seite zeigt nach oben.",
        "Coupe du roulement inférieur entre cuvette et cône de fourche\u{a0}: le chanfrein intérieur repose en bas sur le cône, le chanfrein extérieur rejoint la cuvette en haut, la face marquée est vers le haut.";
    upper_bearing_title:
        "Upper bearing with split ring, cut through",
        "Oberes Lager mit Klemmring im Schnitt",
        "Roulement supérieur et bague fendue en coupe";
    upper_bearing_alt:
        "Section through the upper bearing: it lies mirrored to the lower one, with the outer chamfer down in the cup; the split ring's taper points down into the bearing, and the dust cover lies on top.",
        "Schnitt durch das obere Lager: Es liegt spiegelbildlich zum unteren, mit der äußeren Schräge nach unten in der Schale; die Schräge des Klemmrings zeigt nach unten in das Lager, darauf liegt die Abdeckung.",
        "Coupe du roulement supérieur\u{a0}: il est placé en miroir de l'inférieur, chanfrein extérieur vers le bas dans la cuvette\u{202f}; le cône de la bague fendue pointe vers le bas dans le roulement, le cache est posé dessus.";
    spacer_stack_title:
        "Spacers, stem and cap",
        "Distanzringe, Vorbau und Kappe",
        "Entretoises, potence et capuchon";
    spacer_stack_alt:
        "The stack on the steerer from below: dust cover, spacers, stem and one spacer above it under the cap. The steerer ends 2 to 5 mm below the upper edge of the stack. Drawn at half its size; a bar of 50 mm below it shows whether the print is to scale.",
        "Der Stapel auf dem Gabelschaft von unten: Abdeckung, Distanzringe, Vorbau und darüber ein Distanzring unter der Kappe. Der Schaft endet 2 bis 5 mm unter der Oberkante des Stapels. Gezeichnet in halber Größe; ein Balken von 50 mm darunter zeigt, ob der Druck maßstäblich ist.",
        "L'empilage sur le pivot depuis le bas\u{a0}: cache, entretoises, potence et une entretoise au-dessus, sous le capuchon. Le pivot s'arrête 2 à 5 mm sous le haut de l'empilage. Dessin à moitié de la taille réelle\u{202f}; une barre de 50 mm en dessous montre si l'impression est à l'échelle.";
    stem_bolts_title:
        "Stem bolts from behind",
        "Vorbauschrauben von hinten",
        "Vis de potence vues de derrière";
    stem_bolts_alt:
        "Two bolts across the slot of the stem, tightened in turns 1, 2, 1, 2; the slot is as wide at the upper bolt as at the lower one.",
        "Zwei Schrauben quer zum Schlitz des Vorbaus, abwechselnd 1, 2, 1, 2 angezogen; der Schlitz ist an der oberen Schraube so breit wie an der unteren.",
        "Deux vis en travers de la fente de la potence, serrées en alternance 1, 2, 1, 2\u{202f}; la fente est aussi large à la vis du haut qu'à celle du bas.";
    cross_pattern_title:
        "Four bolts, crosswise",
        "Vier Schrauben über Kreuz",
        "Quatre vis en croix";
    cross_pattern_alt:
        "Four bolts at the corners of a square of 40 mm, numbered 1 front left, 2 rear right, 3 front right, 4 rear left: tighten in this order, in two passes.",
        "Vier Schrauben an den Ecken eines Quadrats von 40 mm, nummeriert 1 vorn links, 2 hinten rechts, 3 vorn rechts, 4 hinten links: in dieser Reihenfolge in zwei Durchgängen anziehen.",
        "Quatre vis aux coins d'un carré de 40 mm, numérotées 1 avant gauche, 2 arrière droite, 3 avant droite, 4 arrière gauche\u{a0}: serrer dans cet ordre, en deux passes.";
    ski_bolt_title:
        "Ski bolt, cut through",
        "Skischraube im Schnitt",
        "Vis de ski en coupe";
    ski_bolt_alt:
        "Section through the ski bolt: head, washer, plate of the mount, then the insert in the ski. The bolt reaches far enough into the insert and ends above its bottom. Without the washer, or with a longer bolt, it would meet the bottom.",
        "Schnitt durch die Skischraube: Kopf, Scheibe, Platte der Halterung, dann der Gewindeeinsatz im Ski. Die Schraube greift tief genug in den Einsatz und endet über seinem Grund. Ohne Scheibe oder mit längerer Schraube stieße sie am Grund an.",
        "Coupe de la vis de ski\u{a0}: tête, rondelle, platine du support, puis l'insert du ski. La vis pénètre assez dans l'insert et s'arrête avant le fond. Sans rondelle ou avec une vis plus longue, elle toucherait le fond.";
    peg_bolt_title:
        "Peg bolt, cut through",
        "Schraube der Fußraste im Schnitt",
        "Vis du repose-pied en coupe";
    peg_bolt_alt:
        "Section through the peg bolt: a hardened washer lies under the head and another under the nut, on both sides of peg and bracket.",
        "Schnitt durch die Schraube der Fußraste: Eine gehärtete Scheibe liegt unter dem Kopf, eine zweite unter der Mutter, auf beiden Seiten von Raste und Halter.",
        "Coupe de la vis du repose-pied\u{a0}: une rondelle trempée sous la tête, une autre sous l'écrou, de part et d'autre du repose-pied et de sa patte.";
    slip_joint_title:
        "Slip joint, seen onto its slot",
        "Klemmverbindung, Blick auf den Schlitz",
        "Emmanchement, vu sur la fente";
    slip_joint_alt:
        "A clamp with two pinch bolts seen onto its slot: the gap is as wide at bolt 1 as at bolt 2.",
        "Eine Klemmung mit zwei Klemmschrauben, Blick auf den Schlitz: Der Spalt ist an Schraube 1 so breit wie an Schraube 2.",
        "Un collier à deux vis de serrage vu sur sa fente\u{a0}: le jeu est aussi large à la vis 1 qu'à la vis 2.";
    torsion_arms_title:
        "Torsion arms from above",
        "Torsionsarme von oben",
        "Bras de torsion vus de dessus";
    torsion_arms_alt:
        "A ski mount from above with a left-hand arm on the left and a right-hand arm on the right; both have bumpers of the same hardness. The order of the bolts is left, right, left.",
        "Eine Skihalterung von oben mit dem linken Arm links und dem rechten Arm rechts; beide haben Puffer derselben Härte. Die Reihenfolge der Schrauben ist links, rechts, links.",
        "Un support de ski vu de dessus, bras gauche à gauche et bras droit à droite\u{202f}; leurs butées ont la même dureté. L'ordre des vis est gauche, droite, gauche.";
    seat_post_title:
        "Seat post in the frame",
        "Sattelstütze im Rahmen",
        "Tige de selle dans le cadre";
    seat_post_alt:
        "Section through the seat tube: the post's mark for the least insertion is inside the tube, and the end of the post lies below the lower edge of the top tube joint.",
        "Schnitt durch das Sitzrohr: Die Marke für die Mindesteinstecktiefe steckt im Rohr, und das Ende der Stütze liegt unter der Unterkante des Oberrohranschlusses.",
        "Coupe du tube de selle\u{a0}: le repère d'insertion minimale est dans le tube et l'extrémité de la tige se trouve sous le bord inférieur du raccord du tube supérieur.";
    saddle_height_title:
        "Saddle height for the lift",
        "Sattelhöhe für den Lift",
        "Hauteur de selle pour la remontée";
    saddle_height_alt:
        "The bike from the side: the top of the saddle stands at most 508 mm, or 20 in, above the point where the bike rests on the lift.",
        "Das Rad von der Seite: Die Oberkante des Sattels steht höchstens 508 mm oder 20 in über dem Punkt, an dem das Rad am Lift aufliegt.",
        "L'engin de côté\u{a0}: le dessus de la selle est au plus à 508 mm, soit 20 in, au-dessus du point où l'engin repose sur la remontée.";
    leash_title:
        "Leash from ski to bike",
        "Fangleine vom Ski zum Rad",
        "Lanière du ski à l'engin";
    leash_alt:
        "A leash with its bolt and washer at the ski and its hook on the bike, slack enough for the ski to swing.",
        "Eine Fangleine mit Schraube und Scheibe am Ski und Haken am Rad, lose genug, dass der Ski schwenken kann.",
        "Une lanière fixée au ski par sa vis et sa rondelle et accrochée à l'engin, assez lâche pour que le ski pivote.";
    this_face_up:
        "this face up",
        "diese Seite oben",
        "cette face en haut";
    cup:
        "cup",
        "Schale",
        "cuvette";
    crown_race:
        "crown race",
        "Gabelkonus",
        "cône de fourche";
    bearing:
        "bearing",
        "Lager",
        "roulement";
    split_ring:
        "split ring",
        "Klemmring",
        "bague fendue";
    dust_cover:
        "dust cover",
        "Abdeckung",
        "cache";
    stem:
        "stem",
        "Vorbau",
        "potence";
    cap:
        "cap",
        "Kappe",
        "capuchon";
    gap_two_to_five:
        "gap 2–5 mm",
        "Spalt 2–5 mm",
        "jeu 2–5 mm";
    half_scale:
        "scale 1:2 if this bar is 50 mm long",
        "Maßstab 1:2, wenn dieser Balken 50 mm misst",
        "échelle 1:2 si cette barre mesure 50 mm";
    measures:
        "Measures",
        "Maße",
        "Cotes";
    spacer:
        "spacer",
        "Distanzring",
        "entretoise";
    riser:
        "riser",
        "Unterlage",
        "rehausse";
    no_tolerances:
        "No tolerances are stated: measure before you tighten.",
        "Toleranzen sind nicht angegeben: Messen Sie nach, bevor Sie anziehen.",
        "Aucune tolérance n'est indiquée\u{a0}: mesurez avant de serrer.";
    parts_do_not_fit:
        "These parts do not fit each other: stop here and ask us.",
        "Diese Teile passen nicht zueinander: Hören Sie hier auf und fragen Sie uns.",
        "Ces pièces ne vont pas ensemble\u{a0}: arrêtez-vous ici et demandez-nous.";
    equal_gap:
        "gaps alike",
        "Spalte gleich",
        "jeux égaux";
    front:
        "front",
        "vorn",
        "avant";
    washer:
        "washer",
        "Scheibe",
        "rondelle";
    plate:
        "plate",
        "Platte",
        "platine";
    insert:
        "insert",
        "Gewindeeinsatz",
        "insert fileté";
    does_not_touch:
        "free",
        "frei",
        "libre";
    peg:
        "peg",
        "Fußraste",
        "repose-pied";
    bracket:
        "bracket",
        "Halter",
        "patte";
    nut:
        "nut",
        "Mutter",
        "écrou";
    left:
        "left",
        "links",
        "gauche";
    right:
        "right",
        "rechts",
        "droite";
    bumper:
        "bumper",
        "Puffer",
        "butée";
    min_mark:
        "min. mark inside",
        "Min.-Marke innen",
        "repère min. caché";
    below_this_edge:
        "end below this edge",
        "Ende darunter",
        "fin sous ce bord";
    grease_here:
        "grease inside",
        "innen fetten",
        "graisser ici";
    rest_point:
        "rests here",
        "liegt hier auf",
        "repose ici";
    at_most_508:
        "≤ 508 mm / 20 in",
        "höchstens 508 mm",
        "508 mm au plus";
    slack:
        "leave slack",
        "lose lassen",
        "laisser du mou";
}
