//! Pages that need no sign-in.

use super::super::*;
use super::*;

#[test]
fn sign_in_and_error() {
    let outside =
        Frame { shop: "Skarnholt Works".into(), csrf: "token".into(), ..Frame::default() };
    let refused = Answer::refused("The name or the password is wrong.");
    let page = sign_in::SignInPage {
        frame: Frame { answer: Some(refused), ..outside },
        name: "runa".into(),
        next: "/".into(),
    };
    check("sign_in", &page, &["Sign in", "value=\"runa\"", "Not done"]);
    let page = error::ErrorPage {
        frame: frame(Task::Orders),
        status: 404,
        title: "There is no order SO-1999".into(),
        words: "Numbers run from SO-1001 to SO-1042. Look for the rider's name instead.".into(),
        code: "orders.unknown".into(),
        back_href: "/orders".into(),
        back_words: "Back to Orders".into(),
    };
    check("error", &page, &["There is no order SO-1999", "Back to Orders"]);
}

fn rider(finished: bool) -> rider::RiderPage {
    let line = |id, name: &str, variant: &str, pieces: i64, lies: &str| rider::RiderLine {
        id,
        name: name.into(),
        variant: variant.into(),
        quantity: q(pieces),
        lies_in: lies.into(),
    };
    let step = |number, title: &str, lines, state| rider::RiderStep {
        number,
        title: title.into(),
        lines,
        state,
    };
    let missing = text(&["1 nut M10 is missing. “Bag was closed.”"]);
    rider::RiderPage {
        shop: "Skarnholt Works".into(),
        contact: "Skarnholt Works answers 08 to 20. Have the kit number at hand.".into(),
        base: "/k/KT004127C/9f2c".into(),
        csrf: "token".into(),
        request_key: "view-1".into(),
        kit: "KT004127C".into(),
        build: "Tarvet T15, frame M, green, skis 105".into(),
        boxes: "Two boxes belong to it: 1 of 2 and 2 of 2.".into(),
        cautions: text(&[
            "Steering, ski bolts and air springs can hurt you when they fail. The component maker's manual in the DOC bag wins over this page.",
            "Do not ride with a part missing, and let a qualified mechanic check your first build.",
            "Ask the lift operator whether and how the bike may ride the lift.",
        ]),
        strip: strip_of(
            2,
            if finished { &[8] } else { &[] },
            if finished { &["Step 8: nut M10, 1 missing"] } else { &[] },
        ),
        answer: (!finished).then(|| Answer::done("Step 2 is all here. Next: step 3.")),
        steps: vec![
            step(
                1,
                "Open, count, photograph",
                vec![line(1, "Bag of papers", "DOC-en", 1, "on top of box 1")],
                rider::StepState::AllHere,
            ),
            step(
                3,
                "Seat clamp, post, saddle",
                vec![
                    line(2, "Seat post 30.9", "300 mm", 1, "box 1, second layer"),
                    line(3, "Saddle", "firm", 1, "box 1, second layer"),
                    line(4, "Seat clamp", "green", 1, "bag SEAT"),
                ],
                if finished { rider::StepState::AllHere } else { rider::StepState::Open },
            ),
            step(
                8,
                "Pegs, loose",
                vec![
                    line(5, "Foot peg", "left", 1, "box 1"),
                    line(6, "Foot peg", "right", 1, "box 1"),
                    line(7, "Nut, prevailing torque", "M10", 2, "bag PEG"),
                ],
                rider::StepState::Reported(missing),
            ),
        ],
        finished,
        replies: text(&[
            "1 nut M10 leaves today by express. It stops the ride: do not ride before it is fitted.",
        ]),
    }
}

#[test]
fn the_rider_checks_the_box() {
    check(
        "rider",
        &rider(false),
        &["All here", "Missing or damaged", "missing-2", "steps/3/here", "wins over this page"],
    );
    check("rider_thanks", &rider(true), &["Thank you", "leaves today by express"]);
}
