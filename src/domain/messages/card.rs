//! The assembly card's fixed words.

super::messages! {
    assembly_card:
        "Assembly card",
        "Montagekarte",
        "Fiche de montage";
    before_you_build:
        "Before you build",
        "Bevor Sie beginnen",
        "Avant de commencer";
    maker_wins:
        "Where this card and a component maker's manual differ, the manual is right: torque, air pressure and wear limits are the maker's to set.",
        "Wo diese Karte und die Anleitung eines Herstellers voneinander abweichen, gilt die Anleitung: Drehmoment, Luftdruck und Verschleißgrenzen legt der Hersteller fest.",
        "Si cette fiche et la notice d'un fabricant diffèrent, la notice a raison\u{a0}: couples, pressions et limites d'usure sont fixés par le fabricant.";
    first_check:
        "Have a qualified mechanic check the first build before the first ride: steering, fastenings and skis above all.",
        "Lassen Sie den ersten Aufbau vor der ersten Fahrt von einer Fachwerkstatt prüfen: vor allem Lenkung, Verschraubungen und Ski.",
        "Faites contrôler le premier montage par un mécanicien qualifié avant la première sortie\u{a0}: surtout la direction, les fixations et les skis.";
    right_wrench:
        "Use a torque wrench of the right range, and read one unit only: N·m or in·lbf. Each joint says whether the preset key of this kit suits it.",
        "Verwenden Sie einen Drehmomentschlüssel mit passendem Bereich und lesen Sie nur eine Einheit ab: N·m oder in·lbf. Bei jeder Verbindung steht, ob der fest eingestellte Schlüssel dieses Bausatzes passt.",
        "Utilisez une clé dynamométrique de la bonne plage et ne lisez qu'une seule unité\u{a0}: N·m ou in·lbf. Chaque assemblage indique si la clé préréglée de ce kit convient.";
    shock_pump_only:
        "Set air springs with a shock pump only, and never above the maker's maximum: an air spring that bursts can hurt you.",
        "Befüllen Sie Luftfedern nur mit einer Dämpferpumpe und nie über den Höchstdruck des Herstellers: Eine berstende Luftfeder kann Sie verletzen.",
        "Ne gonflez les ressorts à air qu'avec une pompe pour amortisseur et jamais au-delà du maximum du fabricant\u{a0}: un ressort à air qui éclate peut blesser.";
    lift_decides:
        "Whether and how the bike may ride on a lift is for the lift operator to decide: ask before you queue.",
        "Ob und wie das Rad mit einem Lift befördert wird, entscheidet der Liftbetreiber: Fragen Sie vor dem Anstellen.",
        "C'est l'exploitant de la remontée qui décide si et comment l'engin peut être transporté\u{a0}: demandez avant de faire la queue.";
    parts:
        "Parts",
        "Teile",
        "Pièces";
    no_new_parts:
        "No new parts in this step.",
        "Keine neuen Teile in diesem Schritt.",
        "Pas de nouvelle pièce à cette étape.";
    tools:
        "Tools",
        "Werkzeug",
        "Outils";
    check:
        "Check",
        "Prüfen",
        "Contrôle";
    caution:
        "Caution",
        "Vorsicht",
        "Attention";
    torque:
        "Torque",
        "Drehmoment",
        "Couple";
    target:
        "aim for",
        "Ziel",
        "viser";
    allowed_band:
        "allowed",
        "zulässig",
        "admis";
    set_by_maker:
        "Set before packing: look whether the paint mark is whole, and do not turn.",
        "Vor dem Verpacken angezogen: Sehen Sie nur nach, ob die Farbmarkierung unversehrt ist, und drehen Sie nicht.",
        "Serré avant l'emballage\u{a0}: vérifiez seulement que le repère de peinture est intact, ne tournez pas.";
    no_torque_stated:
        "No torque is stated for this joint: ask before you tighten it.",
        "Für diese Verbindung ist kein Drehmoment angegeben: Fragen Sie nach, bevor Sie anziehen.",
        "Aucun couple n'est indiqué pour cet assemblage\u{a0}: demandez avant de serrer.";
    preset_suits:
        "the preset key of this kit suits",
        "der fest eingestellte Schlüssel dieses Bausatzes passt",
        "la clé préréglée de ce kit convient";
    borrow_wrench:
        "use a torque wrench of this range; the preset key does not suit",
        "Drehmomentschlüssel für diesen Bereich nehmen; der fest eingestellte Schlüssel passt nicht",
        "prendre une clé dynamométrique de cette plage\u{202f}; la clé préréglée ne convient pas";
    pattern_single:
        "one bolt, in one pull",
        "eine Schraube, in einem Zug",
        "une seule vis, d'un seul trait";
    pattern_alternate:
        "in turns, a quarter turn each, the gaps alike",
        "abwechselnd je eine Vierteldrehung, Spalte gleich groß",
        "en alternance, un quart de tour chacune, jeux égaux";
    pattern_cross:
        "crosswise 1-2-3-4 in two passes: half the torque, then all of it",
        "über Kreuz 1-2-3-4 in zwei Durchgängen: erst das halbe, dann das ganze Drehmoment",
        "en croix 1-2-3-4 en deux passes\u{a0}: la moitié du couple, puis le couple entier";
    pattern_left_right_left:
        "left, right, left again",
        "links, rechts, noch einmal links",
        "à gauche, à droite, puis encore à gauche";
    pattern_hold_nut:
        "hold the nut and turn the bolt",
        "Mutter halten und Schraube drehen",
        "tenir l'écrou et tourner la vis";
    pattern_preload:
        "only until the play is gone, then stop",
        "nur bis das Spiel verschwunden ist, dann aufhören",
        "seulement jusqu'à supprimer le jeu, puis s'arrêter";
    condition_dry:
        "threads dry",
        "Gewinde trocken",
        "filetage sec";
    condition_greased:
        "threads greased",
        "Gewinde gefettet",
        "filetage graissé";
    condition_anti_seize:
        "anti-seize on the threads",
        "Montagepaste auf dem Gewinde",
        "pâte antigrippage sur le filetage";
    condition_threadlocker:
        "threadlocker on the threads",
        "Schraubensicherung auf dem Gewinde",
        "frein-filet sur le filetage";
    condition_patch:
        "locking patch on the bolt: add nothing",
        "Sicherungsbeschichtung auf der Schraube: nichts dazugeben",
        "vis à enduit de freinage\u{a0}: ne rien ajouter";
    if_missing:
        "If a part is missing",
        "Wenn ein Teil fehlt",
        "S'il manque une pièce";
    if_one_is_missing:
        "If missing",
        "Fehlt etwas",
        "S'il manque";
    missing_s:
        "Stop at this step. Nothing after it can be built until the part is there.",
        "Halten Sie bei diesem Schritt an. Danach kann nichts gebaut werden, bis das Teil da ist.",
        "Arrêtez-vous à cette étape. Rien de la suite ne peut être monté sans cette pièce.";
    missing_r:
        "You may build on, but do not ride until the part is fitted.",
        "Sie können weiterbauen, dürfen aber nicht fahren, bis das Teil montiert ist.",
        "Vous pouvez continuer le montage, mais ne roulez pas avant que la pièce soit posée.";
    missing_c:
        "Build and ride; the part is for looks or comfort and follows.",
        "Bauen und fahren Sie; das Teil dient dem Aussehen oder der Bequemlichkeit und folgt nach.",
        "Montez et roulez\u{202f}; la pièce ne sert qu'à l'aspect ou au confort et suivra.";
    missing_d:
        "Call us before you build: the box should not have left without it.",
        "Rufen Sie uns an, bevor Sie bauen: Ohne dieses Stück hätte die Schachtel nicht weggehen dürfen.",
        "Appelez-nous avant de monter\u{a0}: le colis n'aurait pas dû partir sans cet élément.";
    revision:
        "Revision",
        "Ausgabe",
        "Révision";
    sources:
        "Where the torques come from",
        "Woher die Drehmomente stammen",
        "Origine des couples";
    kit:
        "Kit",
        "Bausatz",
        "Ensemble";
    order:
        "Order",
        "Auftrag",
        "Commande";
    scan_for_page:
        "Scan for these steps on a phone",
        "Scannen: diese Schritte am Telefon",
        "À scanner\u{a0}: ces étapes sur le téléphone";
    on_paper:
        "On paper (PDF)",
        "Auf Papier (PDF)",
        "Sur papier (PDF)";
    card_held:
        "This card is held back: two documents state different torques for one joint. Do not build on; the shop will tell you which one holds.",
        "Diese Karte wird zurückgehalten: Zwei Unterlagen nennen für eine Verbindung verschiedene Drehmomente. Bauen Sie nicht weiter; die Werkstatt teilt Ihnen mit, welches gilt.",
        "Cette fiche est retenue\u{a0}: deux documents indiquent des couples différents pour un assemblage. Ne continuez pas\u{202f}; l'atelier vous dira lequel est valable.";
    not_translated:
        "Some words stand in English here because nobody has translated them yet.",
        "Einige Wörter stehen hier auf Englisch, weil sie noch niemand übersetzt hat.",
        "Certains mots sont en anglais ici, car personne ne les a encore traduits.";
    all_steps:
        "All steps",
        "Alle Schritte",
        "Toutes les étapes";
    next_step:
        "Next step",
        "Nächster Schritt",
        "Étape suivante";
    to_the_top:
        "To the top",
        "Nach oben",
        "Haut de page";
    to_the_box_check:
        "Check the box first",
        "Zuerst die Schachtel prüfen",
        "Vérifier d'abord le colis";
    to_the_card:
        "Build it: the assembly card",
        "Aufbauen: die Montagekarte",
        "Monter\u{a0}: la fiche de montage";
}
