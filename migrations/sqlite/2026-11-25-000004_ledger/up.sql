CREATE TABLE lots (
    id INTEGER NOT NULL PRIMARY KEY,
    variant_id INTEGER NOT NULL REFERENCES variants (id),
    code TEXT NOT NULL,
    use_by DATE,
    UNIQUE (variant_id, code)
);

CREATE TABLE serials (
    id INTEGER NOT NULL PRIMARY KEY,
    variant_id INTEGER NOT NULL REFERENCES variants (id),
    code TEXT NOT NULL,
    UNIQUE (variant_id, code)
);

-- One row for each post that changes the shop: sent twice, done once.
CREATE TABLE request_keys (
    key TEXT NOT NULL PRIMARY KEY,
    action TEXT NOT NULL,
    body_hash TEXT NOT NULL,
    answer TEXT NOT NULL,
    user_id INTEGER REFERENCES users (id),
    created_at TIMESTAMP NOT NULL
);
CREATE INDEX request_keys_user ON request_keys (user_id);

CREATE TABLE movements (
    id INTEGER NOT NULL PRIMARY KEY,
    variant_id INTEGER NOT NULL REFERENCES variants (id),
    lot_id INTEGER REFERENCES lots (id),
    serial_id INTEGER REFERENCES serials (id),
    quantity BIGINT NOT NULL CHECK (quantity > 0),
    from_id INTEGER NOT NULL REFERENCES places (id),
    to_id INTEGER NOT NULL REFERENCES places (id),
    at TIMESTAMP NOT NULL,
    user_id INTEGER REFERENCES users (id),
    document TEXT NOT NULL,
    kit_line_id INTEGER REFERENCES kit_lines (id),
    reverses_id INTEGER UNIQUE REFERENCES movements (id),
    request_key TEXT NOT NULL REFERENCES request_keys (key),
    CHECK (from_id <> to_id),
    CHECK (serial_id IS NULL OR quantity = 1),
    CHECK (serial_id IS NULL OR lot_id IS NULL)
);
CREATE INDEX movements_variant ON movements (variant_id, id);
CREATE INDEX movements_lot ON movements (lot_id);
CREATE INDEX movements_serial ON movements (serial_id);
CREATE INDEX movements_from ON movements (from_id);
CREATE INDEX movements_to ON movements (to_id);
CREATE INDEX movements_user ON movements (user_id);
CREATE INDEX movements_kit_line ON movements (kit_line_id);
CREATE INDEX movements_request ON movements (request_key);

CREATE TABLE balances (
    id INTEGER NOT NULL PRIMARY KEY,
    variant_id INTEGER NOT NULL REFERENCES variants (id),
    lot_id INTEGER REFERENCES lots (id),
    serial_id INTEGER REFERENCES serials (id),
    place_id INTEGER NOT NULL,
    outside BOOLEAN NOT NULL,
    quantity BIGINT NOT NULL,
    FOREIGN KEY (place_id, outside) REFERENCES places (id, outside),
    CHECK (outside OR quantity >= 0),
    CHECK (outside OR serial_id IS NULL OR quantity <= 1)
);
CREATE UNIQUE INDEX balances_one ON balances
    (variant_id, place_id, COALESCE(lot_id, 0), COALESCE(serial_id, 0));
CREATE INDEX balances_place ON balances (place_id, outside);
CREATE INDEX balances_lot ON balances (lot_id);
CREATE INDEX balances_serial ON balances (serial_id);

-- A walk's page names a take by its reservation, so a number is never given out twice.
CREATE TABLE reservations (
    id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    kit_line_id INTEGER NOT NULL REFERENCES kit_lines (id),
    variant_id INTEGER NOT NULL REFERENCES variants (id),
    place_id INTEGER NOT NULL REFERENCES places (id),
    lot_id INTEGER REFERENCES lots (id),
    quantity BIGINT NOT NULL CHECK (quantity > 0)
);
CREATE INDEX reservations_line ON reservations (kit_line_id);
CREATE INDEX reservations_variant ON reservations (variant_id, place_id);
CREATE INDEX reservations_place ON reservations (place_id);
CREATE INDEX reservations_lot ON reservations (lot_id);

CREATE TRIGGER movements_no_update BEFORE UPDATE ON movements
BEGIN SELECT RAISE(ABORT, 'a movement is never changed: post one that reverses it'); END;

CREATE TRIGGER movements_no_delete BEFORE DELETE ON movements
BEGIN SELECT RAISE(ABORT, 'a movement is never deleted: post one that reverses it'); END;

CREATE TRIGGER request_keys_no_delete BEFORE DELETE ON request_keys
BEGIN SELECT RAISE(ABORT, 'a request key is never deleted'); END;

-- A tracked part moves with its lot or serial, one that is not tracked without, and the lot or
-- serial is one of that part.
CREATE TRIGGER movements_tracking BEFORE INSERT ON movements
WHEN NOT EXISTS (
    SELECT 1 FROM variants WHERE variants.id = NEW.variant_id
        AND (variants.tracking = 'lot') = (NEW.lot_id IS NOT NULL)
        AND (variants.tracking = 'serial') = (NEW.serial_id IS NOT NULL))
    OR NEW.lot_id IS NOT NULL AND NOT EXISTS (
        SELECT 1 FROM lots WHERE lots.id = NEW.lot_id AND lots.variant_id = NEW.variant_id)
    OR NEW.serial_id IS NOT NULL AND NOT EXISTS (
        SELECT 1 FROM serials WHERE serials.id = NEW.serial_id AND serials.variant_id = NEW.variant_id)
BEGIN SELECT RAISE(ABORT, 'the movement does not carry the lot or serial that its part is tracked by'); END;

-- A serial number is one piece, so it lies in one place of the house at most.
CREATE TRIGGER balances_serial_once_insert AFTER INSERT ON balances
WHEN NEW.serial_id IS NOT NULL AND NOT NEW.outside AND 1 < (
    SELECT COALESCE(SUM(quantity), 0) FROM balances WHERE serial_id = NEW.serial_id AND NOT outside)
BEGIN SELECT RAISE(ABORT, 'this serial number is in the house already'); END;

CREATE TRIGGER balances_serial_once_update AFTER UPDATE ON balances
WHEN NEW.serial_id IS NOT NULL AND NOT NEW.outside AND 1 < (
    SELECT COALESCE(SUM(quantity), 0) FROM balances WHERE serial_id = NEW.serial_id AND NOT outside)
BEGIN SELECT RAISE(ABORT, 'this serial number is in the house already'); END;
