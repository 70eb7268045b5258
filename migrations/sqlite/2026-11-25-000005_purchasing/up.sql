CREATE TABLE purchase_orders (
    id INTEGER NOT NULL PRIMARY KEY,
    number TEXT NOT NULL UNIQUE,
    supplier_id INTEGER NOT NULL REFERENCES suppliers (id),
    ordered_on DATE NOT NULL,
    due_on DATE NOT NULL
);
CREATE INDEX purchase_orders_supplier ON purchase_orders (supplier_id);

CREATE TABLE purchase_order_lines (
    id INTEGER NOT NULL PRIMARY KEY,
    purchase_order_id INTEGER NOT NULL REFERENCES purchase_orders (id),
    line_no BIGINT NOT NULL,
    variant_id INTEGER NOT NULL REFERENCES variants (id),
    quantity BIGINT NOT NULL CHECK (quantity > 0),
    received BIGINT NOT NULL DEFAULT 0 CHECK (received >= 0),
    unit_price_cents BIGINT NOT NULL CHECK (unit_price_cents >= 0),
    closed BOOLEAN NOT NULL DEFAULT FALSE,
    UNIQUE (purchase_order_id, line_no)
);
CREATE INDEX purchase_order_lines_variant ON purchase_order_lines (variant_id);

CREATE TABLE receipts (
    id INTEGER NOT NULL PRIMARY KEY,
    purchase_order_line_id INTEGER NOT NULL REFERENCES purchase_order_lines (id),
    received_at TIMESTAMP NOT NULL,
    user_id INTEGER NOT NULL REFERENCES users (id),
    delivery_note TEXT NOT NULL,
    -- Below zero where a booking was reversed; none where a line was closed with nothing delivered.
    quantity BIGINT NOT NULL,
    damaged BIGINT NOT NULL CHECK (damaged >= 0),
    difference TEXT NOT NULL,
    note TEXT NOT NULL,
    request_key TEXT NOT NULL REFERENCES request_keys (key),
    CHECK (quantity + damaged <> 0 OR note <> '')
);
CREATE INDEX receipts_request ON receipts (request_key);
CREATE INDEX receipts_line ON receipts (purchase_order_line_id);
CREATE INDEX receipts_user ON receipts (user_id);
