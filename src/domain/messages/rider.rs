//! Words of the page on which a box is checked.

super::messages! {
    check_your_box:
        "Check your box",
        "Prüfen Sie Ihre Schachtel",
        "Vérifiez votre colis";
    thank_you:
        "Thank you",
        "Danke",
        "Merci";
    all_here_start:
        "Everything is here, and the shop knows. You can start to build.",
        "Es ist alles da, und die Werkstatt weiß Bescheid. Sie können mit dem Aufbau beginnen.",
        "Tout est là et l'atelier le sait. Vous pouvez commencer le montage.";
    shop_has_report:
        "The shop has your report:",
        "Ihre Meldung ist bei der Werkstatt:",
        "L'atelier a reçu votre message\u{a0}:";
    shop_in_touch:
        "The shop will be in touch about what is missing. Do not ride before every part is fitted.",
        "Die Werkstatt meldet sich wegen der fehlenden Teile. Fahren Sie nicht, bevor jedes Teil montiert ist.",
        "L'atelier vous contactera pour ce qui manque. Ne roulez pas avant que chaque pièce soit posée.";
    is_everything_there:
        "Is everything in the box?",
        "Ist alles in der Schachtel?",
        "Tout est-il dans le colis\u{202f}?";
    how_to_check:
        "Lay the parts out step by step and tick what is there. You need no account, and what you ticked is kept: you can stop and come back.",
        "Legen Sie die Teile Schritt für Schritt auf und haken Sie ab, was da ist. Sie brauchen kein Konto, und Ihre Angaben bleiben erhalten: Sie können unterbrechen und später weitermachen.",
        "Disposez les pièces étape par étape et cochez ce qui est là. Pas besoin de compte, et vos réponses sont conservées\u{a0}: vous pouvez vous interrompre et revenir.";
    not_sent_yet:
        "Not sent yet",
        "Noch nicht versandt",
        "Pas encore expédié";
    still_here:
        "This box is still with the shop. Once it has left, you can tick here what is inside.",
        "Diese Schachtel ist noch in der Werkstatt. Sobald sie unterwegs ist, können Sie hier abhaken, was darin liegt.",
        "Ce colis est encore à l'atelier. Une fois parti, vous pourrez cocher ici ce qu'il contient.";
    can_hurt:
        "Steering, bolts and air springs can hurt you when they fail. Where this page and a component maker's manual differ, the manual is right.",
        "Lenkung, Schrauben und Luftfedern können Sie verletzen, wenn sie versagen. Wo diese Seite und die Anleitung eines Herstellers voneinander abweichen, gilt die Anleitung.",
        "Direction, vis et ressorts à air peuvent blesser s'ils cèdent. Si cette page et la notice d'un fabricant diffèrent, la notice a raison.";
    do_not_ride:
        "Do not ride while a part is missing or damaged. Let a qualified mechanic check your first build before you ride it.",
        "Fahren Sie nicht, solange ein Teil fehlt oder beschädigt ist. Lassen Sie den ersten Aufbau vor der ersten Fahrt von einer Fachwerkstatt prüfen.",
        "Ne roulez pas tant qu'une pièce manque ou est abîmée. Faites contrôler le premier montage par un mécanicien qualifié avant de rouler.";
    in_the_bag:
        "What is in the bag",
        "Was im Beutel ist",
        "Contenu du sachet";
    out_of_bags:
        "Out of the bags, this step needs:",
        "Aus den Beuteln braucht dieser Schritt:",
        "Des sachets, cette étape demande\u{a0}:";
    left_out:
        "Left out of the box by the shop",
        "Von der Werkstatt weggelassen",
        "Non joint par l'atelier";
    all_here:
        "All here",
        "Alles da",
        "Tout est là";
    reported:
        "Reported",
        "Gemeldet",
        "Signalé";
    change:
        "Change",
        "Ändern",
        "Modifier";
    missing_or_damaged:
        "Missing or damaged",
        "Fehlt oder beschädigt",
        "Manquant ou abîmé";
    enter_only_wrong:
        "Enter pieces only where something is wrong. The other parts of this step count as here.",
        "Tragen Sie nur dort Stück ein, wo etwas nicht stimmt. Die anderen Teile dieses Schrittes gelten als vorhanden.",
        "N'indiquez un nombre que là où quelque chose ne va pas. Les autres pièces de l'étape comptent comme présentes.";
    missing:
        "Missing",
        "Fehlt",
        "Manque";
    damaged:
        "Damaged",
        "Beschädigt",
        "Abîmé";
    what_you_see:
        "What you see",
        "Was Sie sehen",
        "Ce que vous voyez";
    tell_the_shop:
        "Tell the shop",
        "Der Werkstatt melden",
        "Prévenir l'atelier";
    done:
        "Done",
        "Erledigt",
        "Fait";
    not_done:
        "Not done",
        "Nicht erledigt",
        "Pas fait";
    enter_or_all_here:
        "Enter how many pieces are missing or damaged, or tap All here.",
        "Tragen Sie ein, wie viele Stück fehlen oder beschädigt sind, oder tippen Sie auf „Alles da“.",
        "Indiquez combien de pièces manquent ou sont abîmées, ou touchez «\u{a0}Tout est là\u{a0}».";
    note_too_long:
        "This note is too long: shorten it.",
        "Diese Bemerkung ist zu lang: Bitte kürzen.",
        "Cette remarque est trop longue\u{a0}: raccourcissez-la.";
    too_many_pieces:
        "The box does not hold so many of these: enter fewer.",
        "So viele davon sind nicht in der Schachtel: Tragen Sie weniger ein.",
        "Le colis n'en contient pas autant\u{a0}: indiquez moins.";
    not_in_this_box:
        "This part is not in the box: scan the code on the packing list again.",
        "Dieses Teil ist nicht in der Schachtel: Scannen Sie den Code auf der Packliste noch einmal.",
        "Cette pièce n'est pas dans le colis\u{a0}: scannez de nouveau le code de la liste de colisage.";
    could_not_take:
        "This could not be taken: reload the page and try again.",
        "Das konnte nicht übernommen werden: Laden Sie die Seite neu und versuchen Sie es noch einmal.",
        "Ceci n'a pas pu être pris en compte\u{a0}: rechargez la page et réessayez.";
    link_does_not_open:
        "This link does not open",
        "Dieser Link lässt sich nicht öffnen",
        "Ce lien ne s'ouvre pas";
    link_wrong:
        "The address is not complete or not right: scan the code on the packing list again.",
        "Die Adresse ist unvollständig oder falsch: Scannen Sie den Code auf der Packliste noch einmal.",
        "L'adresse est incomplète ou fausse\u{a0}: scannez de nouveau le code de la liste de colisage.";
    link_expired:
        "This link is too old: ask the shop for a new one.",
        "Dieser Link ist zu alt: Bitten Sie die Werkstatt um einen neuen.",
        "Ce lien est trop ancien\u{a0}: demandez-en un nouveau à l'atelier.";
    language:
        "Language",
        "Sprache",
        "Langue";
    assembly_steps:
        "Assembly steps",
        "Montageschritte",
        "Étapes de montage";
}
