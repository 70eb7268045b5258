//! The outbox, and by what and to whom it sends.

use super::super::*;
use super::*;
use crate::ops::outbox::{MailServerView, MessageView};

#[test]
fn the_outbox_says_what_became_of_each_message() {
    let message = |number, state: &str, words: &str| MessageView {
        number,
        channel: "mail".into(),
        address: "orders@lindqvist.example".into(),
        subject: "Purchase order PO-26-162".into(),
        about: "purchase order PO-26-162".into(),
        state: state.into(),
        state_words: state.into(),
        words: words.into(),
        tries: 2,
        due_at: (state == "waiting").then_some(at(25, 10, 42).0),
        files: text(&["PO-26-162.pdf"]),
        queued_at: at(25, 10, 41).0,
        queued_by: None,
        changed_at: at(25, 10, 41).0,
        may_retry: state != "unsure",
        may_give_up: state != "unsure",
        needs_answer: state == "unsure",
    };
    let page = messages::MessagesPage {
        frame: frame(Task::Messages),
        messages: vec![
            message(2, "unsure", "the mail server broke off").into(),
            message(1, "waiting", "nothing listens there").into(),
        ],
    };
    let words = ["did it arrive?", "It did not: send it", "Try again now", "Give up", "with PO-26"];
    check("messages", &page, &words);
    check("messages", &page, &["the next time at 10:42:00 UTC", "the service itself"]);
}

#[test]
fn a_mail_server_and_receivers_are_named() {
    let server = MailServerView {
        server: "mail.skarnholt.example:587".into(),
        security: "starttls".into(),
        login: "shop".into(),
        has_password: true,
        from: "shop@skarnholt.example".into(),
    };
    let receiver = messages::setup::ReceiverLine {
        number: 1,
        channel: "webhook",
        address: "stock.example/in".into(),
        key: "whsec_AAAA".into(),
    };
    let page = messages::setup::SetupPage {
        frame: frame(Task::Messages),
        server,
        securities: vec![Choice::new("starttls", "STARTTLS").chosen()],
        receivers: vec![receiver],
    };
    check("messages-setup", &page, &["A password is kept", "whsec_AAAA", "Tell no more"]);
}
