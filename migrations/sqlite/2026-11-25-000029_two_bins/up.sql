-- Each order that the card of an empty bin made, with the line that it stands on.
CREATE TABLE card_scans (
    id INTEGER NOT NULL PRIMARY KEY,
    variant_id INTEGER NOT NULL REFERENCES variants (id),
    scanned_at TIMESTAMP NOT NULL,
    user_id INTEGER NOT NULL REFERENCES users (id),
    quantity BIGINT NOT NULL CHECK (quantity > 0),
    purchase_order_id INTEGER NOT NULL REFERENCES purchase_orders (id),
    -- A line can be taken off a draft, so this is its number and no reference.
    line_no BIGINT NOT NULL
);
CREATE INDEX card_scans_variant ON card_scans (variant_id);
CREATE INDEX card_scans_user ON card_scans (user_id);
CREATE INDEX card_scans_order ON card_scans (purchase_order_id);

-- Parts whose bins somebody was told of by e-mail, until they are as they should be again.
CREATE TABLE bin_alerts (
    id INTEGER NOT NULL PRIMARY KEY,
    variant_id INTEGER NOT NULL UNIQUE REFERENCES variants (id),
    told_on DATE NOT NULL
);

CREATE TRIGGER card_scans_no_update BEFORE UPDATE ON card_scans
BEGIN SELECT RAISE(ABORT, 'that a card was scanned is never changed'); END;

CREATE TRIGGER card_scans_no_delete BEFORE DELETE ON card_scans
BEGIN SELECT RAISE(ABORT, 'that a card was scanned is never deleted'); END;
