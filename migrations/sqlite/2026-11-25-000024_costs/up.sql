-- What pieces cost together that came in from outside, as it was known then: by the price of their
-- order, or by the catalogue's cost.
CREATE TABLE movement_costs (
    id INTEGER NOT NULL PRIMARY KEY,
    movement_id INTEGER NOT NULL UNIQUE REFERENCES movements (id),
    cost_cents BIGINT NOT NULL CHECK (cost_cents >= 0),
    source TEXT NOT NULL CHECK (source IN ('price', 'catalogue'))
);

-- What came in before such rows were kept. A price in another currency can't be added up with the
-- shop's own, so the catalogue's cost stands for it.
INSERT INTO movement_costs (movement_id, cost_cents, source)
SELECT m.id,
    CASE WHEN l.id IS NOT NULL AND (l.currency = '' OR l.currency = (
            SELECT s.value FROM settings s WHERE s.name = 'currency'))
        THEN (2 * l.unit_price_cents * m.quantity + l.price_per) / (2 * l.price_per)
        ELSE v.unit_cost_cents * m.quantity END,
    CASE WHEN l.id IS NOT NULL AND (l.currency = '' OR l.currency = (
            SELECT s.value FROM settings s WHERE s.name = 'currency'))
        THEN 'price' ELSE 'catalogue' END
FROM movements m
JOIN places f ON f.id = m.from_id
JOIN places t ON t.id = m.to_id
JOIN variants v ON v.id = m.variant_id
LEFT JOIN receipts r ON r.id = (
    SELECT MIN(c.id) FROM receipts c WHERE c.request_key = m.request_key)
    AND f.kind = 'supplier'
LEFT JOIN purchase_order_lines l ON l.id = r.purchase_order_line_id
WHERE f.kind IN ('supplier', 'rider', 'count difference') AND NOT t.outside
    AND m.reverses_id IS NULL
ORDER BY m.id;

-- A charge on what one delivery note brought of a purchase order, and what each of its movements
-- bears of it.
CREATE TABLE landed_costs (
    id INTEGER NOT NULL PRIMARY KEY,
    purchase_order_id INTEGER NOT NULL REFERENCES purchase_orders (id),
    delivery_note TEXT NOT NULL,
    kind TEXT NOT NULL CHECK (kind IN ('freight', 'duty', 'other', 'price difference')),
    -- Below zero for a credit.
    amount_cents BIGINT NOT NULL CHECK (amount_cents <> 0),
    basis TEXT NOT NULL CHECK (basis IN ('value', 'mass', 'pieces')),
    -- The invoice or other paper that says so; empty where it is an estimate.
    document TEXT NOT NULL,
    -- The newest movement of the ledger at that moment.
    after_movement BIGINT NOT NULL CHECK (after_movement >= 0),
    at TIMESTAMP NOT NULL,
    user_id INTEGER REFERENCES users (id)
);
CREATE INDEX landed_costs_order ON landed_costs (purchase_order_id);
CREATE INDEX landed_costs_user ON landed_costs (user_id);

CREATE TABLE landed_cost_shares (
    id INTEGER NOT NULL PRIMARY KEY,
    landed_cost_id INTEGER NOT NULL REFERENCES landed_costs (id),
    movement_id INTEGER NOT NULL REFERENCES movements (id),
    amount_cents BIGINT NOT NULL,
    UNIQUE (landed_cost_id, movement_id)
);
CREATE INDEX landed_cost_shares_movement ON landed_cost_shares (movement_id);

CREATE TRIGGER movement_costs_no_update BEFORE UPDATE ON movement_costs
BEGIN SELECT RAISE(ABORT, 'what pieces cost as they came in is never changed: post another'); END;

CREATE TRIGGER movement_costs_no_delete BEFORE DELETE ON movement_costs
BEGIN SELECT RAISE(ABORT, 'what pieces cost as they came in is never deleted'); END;

CREATE TRIGGER landed_costs_no_update BEFORE UPDATE ON landed_costs
BEGIN SELECT RAISE(ABORT, 'a charge is never changed: post another'); END;

CREATE TRIGGER landed_costs_no_delete BEFORE DELETE ON landed_costs
BEGIN SELECT RAISE(ABORT, 'a charge is never deleted'); END;

CREATE TRIGGER landed_cost_shares_no_update BEFORE UPDATE ON landed_cost_shares
BEGIN SELECT RAISE(ABORT, 'a share of a charge is never changed: post another'); END;

CREATE TRIGGER landed_cost_shares_no_delete BEFORE DELETE ON landed_cost_shares
BEGIN SELECT RAISE(ABORT, 'a share of a charge is never deleted'); END;
