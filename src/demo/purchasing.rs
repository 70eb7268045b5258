//! Purchase orders in each state, so that a visitor sees all of them.

use chrono::Days;

use crate::domain::people::Role;
use crate::error::Error;
use crate::ops::RequestKey;
use crate::ops::purchasing::{
    Approve, ChargeEntry, DraftLine, PromiseEntry, approve, cancel, charge, close_line, confirm,
    draft_lines, sent,
};
use crate::ops::receiving::{Count, receive};
use crate::store::{Database, Tx, Who, catalog, people};

/// How far an order goes; each goes as far as the one before it, but for the last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Far {
    Drafted,
    Approved,
    Sent,
    Confirmed,
    PartlyReceived,
    ClosedShort,
    Received,
    Cancelled,
}

const ORDERS: [(&str, Far); 8] = [
    ("MF", Far::Drafted),
    ("AD", Far::Approved),
    ("LC", Far::Sent),
    ("MT", Far::Confirmed),
    ("HP", Far::PartlyReceived),
    ("BP", Far::ClosedShort),
    ("FC", Far::Received),
    ("QN", Far::Cancelled),
];

/// Writes a purchase order for each state.
///
/// # Errors
///
/// [`Error::Database`].
pub fn show_states(books: &Database) -> Result<(), Error> {
    let person = |login: &str, role: Role| {
        let user = books.read(|conn| Ok(people::user_by_login(conn, login)?))?;
        let user = user.ok_or_else(|| Error::not_found("person", login))?;
        Ok::<Who, Error>(Who::Person(user.id, role))
    };
    let buyer = person("buyer", Role::Buyer)?;
    let owner = person("owner", Role::Owner)?;
    for (supplier, far) in ORDERS {
        let Some(number) = books.write(buyer, |tx| drafted(tx, supplier))? else { continue };
        books.write(owner, |tx| taken(tx, &number, far))?;
    }
    Ok(())
}

/// Drafts an order for the supplier's first part that needs neither lot nor serial number.
fn drafted(tx: &mut Tx<'_>, supplier: &str) -> Result<Option<String>, Error> {
    let plain = |tracking: &str| tracking == "none";
    let variants = catalog::variants(tx.conn)?;
    let of_supplier = |it: &&catalog::VariantRow| it.supplier_code.as_deref() == Some(supplier);
    let mut parts = variants.iter().filter(of_supplier);
    let first = parts.clone().find(|it| plain(&it.tracking) && it.bin.is_some());
    let Some(part) = first.or_else(|| parts.next()) else { return Ok(None) };
    let least = part.minimum_order.plus(part.pack).in_packs_of(part.pack);
    let line = DraftLine {
        part_number: part.part_number.clone(),
        quantity: least.plus(part.pack),
        reason: "to show how an order goes".to_owned(),
        ..DraftLine::default()
    };
    Ok(Some(draft_lines(tx, supplier, &[line])?.number))
}

fn taken(tx: &mut Tx<'_>, number: &str, far: Far) -> Result<(), Error> {
    let key = RequestKey::fresh;
    if far == Far::Cancelled {
        cancel(tx, &key(), number, "ordered elsewhere")?;
        return Ok(());
    }
    if Far::Approved <= far {
        approve(tx, &key(), number, Approve { below_minimum_agreed: true })?;
    }
    if Far::Sent <= far {
        sent(tx, &key(), number, "in the supplier's portal")?;
    }
    let order = crate::ops::purchasing::detail(tx.conn, number)?;
    let line = order.lines.first().map(|it| (it.ordered, it.part_number.clone()));
    let (ordered, part_number) = line.unwrap_or_default();
    if Far::Confirmed <= far {
        let promised_on = order.due_on.checked_add_days(Days::new(4)).unwrap_or(order.due_on);
        let promise = PromiseEntry { line: 1, quantity: ordered, promised_on };
        confirm(tx, &key(), number, ("AB 4711", &[promise]))?;
    }
    if Far::PartlyReceived <= far {
        let variant = catalog::variant(tx.conn, &part_number)?;
        let pack = variant.as_ref().map(|it| it.pack).unwrap_or_default();
        let lot = match variant.is_some_and(|it| it.tracking == "lot") {
            true => "L2611".to_owned(),
            false => String::new(),
        };
        let good = if far == Far::Received { ordered } else { ordered.less(pack) };
        let delivery_note = "LS 2611".to_owned();
        let count = Count { line: 1, good, lot, delivery_note, ..Count::default() };
        receive(tx, &key(), number, &count)?;
        let freight = ChargeEntry {
            delivery_note: "LS 2611".to_owned(),
            kind: "freight".to_owned(),
            amount_cents: 4_850,
            basis: "mass".to_owned(),
            document: String::new(),
        };
        charge(tx, &key(), number, &freight)?;
    }
    if far == Far::ClosedShort {
        close_line(tx, &key(), number, (1, "the rest is out of print"))?;
    }
    Ok(())
}
