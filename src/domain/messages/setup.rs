//! Words of the rider's own set-up: air pressure and saddle height.

super::messages! {
    your_set_up:
        "Your own set-up",
        "Ihre eigene Einstellung",
        "Votre réglage personnel";
    air_pressure:
        "Air pressure",
        "Luftdruck",
        "Pression d'air";
    your_weight:
        "Your weight with clothes and pack, with its unit",
        "Ihr Gewicht mit Kleidung und Rucksack, mit Einheit",
        "Votre poids avec vêtements et sac, avec l'unité";
    weight_example:
        "such as 82 kg or 180 lb",
        "zum Beispiel 82 kg oder 180 lb",
        "par exemple 82 kg ou 180 lb";
    show_pressure:
        "Show the pressure",
        "Druck anzeigen",
        "Afficher la pression";
    nothing_kept:
        "The weight is used for this page only and not kept.",
        "Das Gewicht wird nur für diese Seite verwendet und nicht gespeichert.",
        "Le poids ne sert qu'à cette page et n'est pas conservé.";
    weight_unreadable:
        "This weight can't be read: write a number and kg or lb, such as 82 kg or 180 lb.",
        "Dieses Gewicht ist nicht lesbar: Schreiben Sie eine Zahl und kg oder lb, zum Beispiel 82 kg oder 180 lb.",
        "Ce poids est illisible\u{a0}: écrivez un nombre et kg ou lb, par exemple 82 kg ou 180 lb.";
    weight_not_in_chart:
        "The maker's chart states no pressure for this weight: ask the shop before you pump.",
        "Die Tabelle des Herstellers nennt für dieses Gewicht keinen Druck: Fragen Sie die Werkstatt, bevor Sie pumpen.",
        "Le tableau du fabricant n'indique pas de pression pour ce poids\u{a0}: demandez à l'atelier avant de gonfler.";
    no_chart:
        "There is no pressure chart here for this part: take the component maker's sheet.",
        "Für dieses Teil gibt es hier keine Drucktabelle: Nehmen Sie das Blatt des Herstellers.",
        "Il n'y a pas ici de tableau de pression pour cette pièce\u{a0}: prenez la feuille du fabricant.";
    rider_weight:
        "Rider",
        "Fahrergewicht",
        "Pilote";
    pressure:
        "Pressure",
        "Druck",
        "Pression";
    never_above:
        "Never above",
        "Nie über",
        "Jamais au-delà de";
    written_weight:
        "Your weight:",
        "Ihr Gewicht:",
        "Votre poids\u{a0}:";
    written_pressure:
        "Your pressure:",
        "Ihr Druck:",
        "Votre pression\u{a0}:";
    source:
        "Source",
        "Quelle",
        "Source";
    check_the_card_code:
        "The paper card in the box must carry the same part: with another fork's card, do not pump and tell us.",
        "Die beiliegende Papierkarte muss dasselbe Teil nennen: Liegt die Karte einer anderen Gabel bei, pumpen Sie nicht und melden Sie sich.",
        "La carte jointe doit désigner la même pièce\u{a0}: si c'est celle d'une autre fourche, ne gonflez pas et prévenez-nous.";
    saddle_height:
        "Saddle height",
        "Sattelhöhe",
        "Hauteur de selle";
    saddle_to_rest:
        "For loading a lift, the top of the saddle stands at most 508 mm (20 in) above the point where the bike rests. This is common practice and no rule of law; the lift operator decides.",
        "Zum Verladen am Lift steht die Oberkante des Sattels höchstens 508 mm (20 in) über dem Auflagepunkt des Rades. Das ist üblich, aber keine Vorschrift; es entscheidet der Liftbetreiber.",
        "Pour l'embarquement, le dessus de la selle est au plus à 508 mm (20 in) au-dessus du point d'appui. C'est l'usage et non une règle officielle\u{202f}; l'exploitant de la remontée décide.";
    saddle_no_room:
        "This post can't meet both limits on this frame: ask us before you build.",
        "Diese Stütze kann an diesem Rahmen nicht beide Grenzen einhalten: Fragen Sie uns, bevor Sie bauen.",
        "Cette tige ne peut pas respecter les deux limites sur ce cadre\u{a0}: demandez-nous avant de monter.";
}
