-- A run: pieces of one part number that the house made from its own stock, on one bill.
CREATE TABLE bench_runs (
    id INTEGER NOT NULL PRIMARY KEY,
    number TEXT NOT NULL UNIQUE,
    bom_id INTEGER NOT NULL REFERENCES boms (id),
    bom_revision TEXT NOT NULL,
    variant_id INTEGER NOT NULL REFERENCES variants (id),
    pieces BIGINT NOT NULL CHECK (pieces > 0),
    lot_id INTEGER UNIQUE REFERENCES lots (id),
    made_at TIMESTAMP NOT NULL,
    user_id INTEGER NOT NULL REFERENCES users (id),
    request_key TEXT NOT NULL UNIQUE REFERENCES request_keys (key)
);
CREATE INDEX bench_runs_bom ON bench_runs (bom_id);
CREATE INDEX bench_runs_variant ON bench_runs (variant_id);
CREATE INDEX bench_runs_user ON bench_runs (user_id);

-- What each movement of a run did. Quantities, lots and serial numbers stand in the movement alone.
CREATE TABLE bench_moves (
    id INTEGER NOT NULL PRIMARY KEY,
    run_id INTEGER NOT NULL REFERENCES bench_runs (id),
    movement_id INTEGER NOT NULL UNIQUE REFERENCES movements (id),
    role TEXT NOT NULL CHECK (role IN ('used', 'made', 'lost', 'taken apart', 'back', 'scrapped')),
    -- The serial number of the made piece that this part went into, or came out of.
    piece_serial_id INTEGER REFERENCES serials (id)
);
CREATE INDEX bench_moves_run ON bench_moves (run_id);
CREATE INDEX bench_moves_serial ON bench_moves (piece_serial_id);

CREATE TRIGGER bench_runs_no_update BEFORE UPDATE ON bench_runs
BEGIN SELECT RAISE(ABORT, 'a run is never changed: take its pieces apart'); END;

CREATE TRIGGER bench_runs_no_delete BEFORE DELETE ON bench_runs
BEGIN SELECT RAISE(ABORT, 'a run is never deleted: take its pieces apart'); END;

CREATE TRIGGER bench_moves_no_update BEFORE UPDATE ON bench_moves
BEGIN SELECT RAISE(ABORT, 'what a run did is never changed: take its pieces apart'); END;

CREATE TRIGGER bench_moves_no_delete BEFORE DELETE ON bench_moves
BEGIN SELECT RAISE(ABORT, 'what a run did is never deleted: take its pieces apart'); END;
