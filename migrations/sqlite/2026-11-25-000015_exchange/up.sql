-- Each time that a carton was sealed, with what the ledger had come to by then. A carton that was
-- opened and sealed again has two rows.
CREATE TABLE carton_seals (
    id INTEGER NOT NULL PRIMARY KEY,
    carton_id INTEGER NOT NULL REFERENCES cartons (id),
    -- The newest movement of the ledger at that moment; 0 where there was none.
    after_movement BIGINT NOT NULL CHECK (after_movement >= 0),
    -- The number that the carton travels under; none where the shop has no company prefix.
    sscc TEXT CHECK (length(sscc) = 18),
    sealed_at TIMESTAMP NOT NULL,
    user_id INTEGER NOT NULL REFERENCES users (id)
);
CREATE INDEX carton_seals_carton ON carton_seals (carton_id);
CREATE INDEX carton_seals_user ON carton_seals (user_id);
CREATE INDEX carton_seals_after ON carton_seals (after_movement, id);

-- Cartons that were sealed before such rows were kept: their contents have not changed since.
INSERT INTO carton_seals (carton_id, after_movement, sscc, sealed_at, user_id)
SELECT cartons.id,
    COALESCE((SELECT MAX(movements.id) FROM movements WHERE movements.to_id = cartons.place_id), 0),
    (SELECT carton_ssccs.sscc FROM carton_ssccs WHERE carton_ssccs.carton_id = cartons.id),
    cartons.sealed_at, cartons.sealed_by
FROM cartons WHERE cartons.sealed_at IS NOT NULL ORDER BY cartons.sealed_at, cartons.id;

CREATE TRIGGER carton_seals_no_update BEFORE UPDATE ON carton_seals
BEGIN SELECT RAISE(ABORT, 'that a carton was sealed is never changed'); END;

CREATE TRIGGER carton_seals_no_delete BEFORE DELETE ON carton_seals
BEGIN SELECT RAISE(ABORT, 'that a carton was sealed is never deleted'); END;

-- A supplier's despatch advice: what it says is on its way. It books nothing.
CREATE TABLE despatch_advices (
    id INTEGER NOT NULL PRIMARY KEY,
    supplier_id INTEGER NOT NULL REFERENCES suppliers (id),
    number TEXT NOT NULL CHECK (number <> ''),
    issued_on DATE NOT NULL,
    -- The digest of the file, by which the same advice is told from another of the same number.
    content TEXT NOT NULL,
    taken_at TIMESTAMP NOT NULL,
    -- None where the program took it for nobody who is signed in.
    user_id INTEGER REFERENCES users (id),
    UNIQUE (supplier_id, number)
);
CREATE INDEX despatch_advices_user ON despatch_advices (user_id);

-- Pieces that an advice announces of one purchase order line, in one lot and one handling unit.
CREATE TABLE despatch_advice_lines (
    id INTEGER NOT NULL PRIMARY KEY,
    advice_id INTEGER NOT NULL REFERENCES despatch_advices (id),
    -- The number that the supplier gave the line.
    line TEXT NOT NULL,
    purchase_order_line_id INTEGER NOT NULL REFERENCES purchase_order_lines (id),
    quantity BIGINT NOT NULL CHECK (quantity > 0),
    lot TEXT NOT NULL,
    use_by DATE,
    -- Serial numbers, one a line.
    serials TEXT NOT NULL,
    -- The number of the box or pallet, an SSCC where it is one; empty where none is named.
    unit TEXT NOT NULL,
    -- The request that booked what was counted of it; none while it is waited for.
    request_key TEXT REFERENCES request_keys (key)
);
CREATE INDEX despatch_advice_lines_advice ON despatch_advice_lines (advice_id);
CREATE INDEX despatch_advice_lines_order ON despatch_advice_lines (purchase_order_line_id);
CREATE INDEX despatch_advice_lines_request ON despatch_advice_lines (request_key);
CREATE INDEX despatch_advice_lines_unit ON despatch_advice_lines (unit);
