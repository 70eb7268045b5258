-- The life of a purchase order before goods-in. Orders from files, and those that are here already,
-- have been sent: revision 1 is approved and with the supplier. A draft has neither.
ALTER TABLE purchase_orders ADD COLUMN revision BIGINT NOT NULL DEFAULT 1 CHECK (revision > 0);
ALTER TABLE purchase_orders
    ADD COLUMN approved_revision BIGINT NOT NULL DEFAULT 1 CHECK (approved_revision >= 0);
ALTER TABLE purchase_orders
    ADD COLUMN sent_revision BIGINT NOT NULL DEFAULT 1 CHECK (sent_revision >= 0);
ALTER TABLE purchase_orders ADD COLUMN cancelled BOOLEAN NOT NULL DEFAULT FALSE;

-- A price is for so many pieces: a bolt of 10.5 cents costs 105 cents for ten of them.
ALTER TABLE purchase_order_lines
    ADD COLUMN price_per BIGINT NOT NULL DEFAULT 1 CHECK (price_per > 0);
-- Why it was ordered, and why the rest of it will not come; empty where nobody said.
ALTER TABLE purchase_order_lines ADD COLUMN reason TEXT NOT NULL DEFAULT '';
ALTER TABLE purchase_order_lines ADD COLUMN closed_because TEXT NOT NULL DEFAULT '';
-- The revision in which the line was last changed: what the supplier confirmed before is void.
ALTER TABLE purchase_order_lines
    ADD COLUMN changed_in BIGINT NOT NULL DEFAULT 1 CHECK (changed_in > 0);

-- The least that a supplier takes an order for, in cents of the shop's currency; 0 where anything.
ALTER TABLE suppliers
    ADD COLUMN minimum_order_cents BIGINT NOT NULL DEFAULT 0 CHECK (minimum_order_cents >= 0);

-- Days on which a supplier does nothing; both ends are among them.
CREATE TABLE supplier_closings (
    id INTEGER NOT NULL PRIMARY KEY,
    supplier_id INTEGER NOT NULL REFERENCES suppliers (id),
    first_day DATE NOT NULL,
    last_day DATE NOT NULL,
    UNIQUE (supplier_id, first_day),
    CHECK (first_day <= last_day)
);

-- What happened to a purchase order, in words.
CREATE TABLE purchase_events (
    id INTEGER NOT NULL PRIMARY KEY,
    purchase_order_id INTEGER NOT NULL REFERENCES purchase_orders (id),
    revision BIGINT NOT NULL CHECK (revision > 0),
    kind TEXT NOT NULL CHECK (kind IN ('drafted', 'changed', 'approved', 'sent', 'confirmed',
        'chased', 'line closed', 'line opened', 'cancelled')),
    words TEXT NOT NULL,
    at TIMESTAMP NOT NULL,
    -- None where the program did it for nobody who is signed in.
    user_id INTEGER REFERENCES users (id)
);
CREATE INDEX purchase_events_order ON purchase_events (purchase_order_id);
CREATE INDEX purchase_events_user ON purchase_events (user_id);

-- What a supplier promised of a line; the newest word counts, unless the line was changed after it.
CREATE TABLE purchase_confirmations (
    id INTEGER NOT NULL PRIMARY KEY,
    purchase_order_line_id INTEGER NOT NULL REFERENCES purchase_order_lines (id),
    revision BIGINT NOT NULL CHECK (revision > 0),
    quantity BIGINT NOT NULL CHECK (quantity >= 0),
    promised_on DATE NOT NULL,
    -- The number of the supplier's own document; empty where none.
    reference TEXT NOT NULL,
    at TIMESTAMP NOT NULL,
    user_id INTEGER REFERENCES users (id)
);
CREATE INDEX purchase_confirmations_line ON purchase_confirmations (purchase_order_line_id);
CREATE INDEX purchase_confirmations_user ON purchase_confirmations (user_id);

-- Each time that a supplier was asked where an order stays. A second time on one day needs a reason.
CREATE TABLE purchase_chases (
    id INTEGER NOT NULL PRIMARY KEY,
    purchase_order_id INTEGER NOT NULL REFERENCES purchase_orders (id),
    chased_on DATE NOT NULL,
    again_because TEXT NOT NULL,
    words TEXT NOT NULL,
    at TIMESTAMP NOT NULL,
    user_id INTEGER REFERENCES users (id)
);
CREATE INDEX purchase_chases_order ON purchase_chases (purchase_order_id);
CREATE INDEX purchase_chases_user ON purchase_chases (user_id);
CREATE UNIQUE INDEX purchase_chases_once ON purchase_chases (purchase_order_id, chased_on)
    WHERE again_because = '';

CREATE TRIGGER purchase_events_no_update BEFORE UPDATE ON purchase_events
BEGIN SELECT RAISE(ABORT, 'the history of a purchase order is never changed'); END;

CREATE TRIGGER purchase_events_no_delete BEFORE DELETE ON purchase_events
BEGIN SELECT RAISE(ABORT, 'the history of a purchase order is never deleted'); END;

CREATE TRIGGER purchase_confirmations_no_update BEFORE UPDATE ON purchase_confirmations
BEGIN SELECT RAISE(ABORT, 'what a supplier promised is never changed'); END;

CREATE TRIGGER purchase_confirmations_no_delete BEFORE DELETE ON purchase_confirmations
BEGIN SELECT RAISE(ABORT, 'what a supplier promised is never deleted'); END;

CREATE TRIGGER purchase_chases_no_update BEFORE UPDATE ON purchase_chases
BEGIN SELECT RAISE(ABORT, 'that a supplier was asked is never changed'); END;

CREATE TRIGGER purchase_chases_no_delete BEFORE DELETE ON purchase_chases
BEGIN SELECT RAISE(ABORT, 'that a supplier was asked is never deleted'); END;
