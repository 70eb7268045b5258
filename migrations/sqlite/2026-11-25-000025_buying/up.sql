-- What an order costs the shop whatever its size, and what one may cost and hold; where that is
-- open, nothing limits it.
ALTER TABLE suppliers ADD COLUMN order_cost_cents BIGINT NOT NULL DEFAULT 0;
ALTER TABLE suppliers ADD COLUMN budget_cents BIGINT;
ALTER TABLE suppliers ADD COLUMN container_litres BIGINT;
ALTER TABLE suppliers ADD COLUMN container_kg BIGINT;

-- How a part or a class of parts is bought. What a row leaves open, the wider one says: a part's
-- row before that of its class with its letter for steadiness, and that before the class alone.
CREATE TABLE buying_policies (
    id INTEGER NOT NULL PRIMARY KEY,
    scope TEXT NOT NULL UNIQUE,
    variant_id INTEGER UNIQUE REFERENCES variants (id),
    policy TEXT CHECK (policy IN ('as-set', 'reorder-point', 'fill-rate', 'min-max', 'review', 'two-bins', 'one-for-one', 'season-buy')),
    service_hundredths BIGINT CHECK (service_hundredths > 0 AND service_hundredths < 10000),
    minimum BIGINT CHECK (minimum >= 0),
    maximum BIGINT CHECK (maximum >= 0),
    review_days BIGINT CHECK (review_days >= 0),
    container BIGINT CHECK (container > 0),
    sized_by TEXT CHECK (sized_by IN ('ahead', 'peak')),
    variation_percent BIGINT CHECK (variation_percent >= 0),
    left_over_cents BIGINT CHECK (left_over_cents > 0),
    short_cents BIGINT CHECK (short_cents > 0),
    season_starts TEXT,
    holding_percent BIGINT CHECK (holding_percent >= 0),
    cover_days BIGINT CHECK (cover_days > 0),
    shelf_life_days BIGINT CHECK (shelf_life_days > 0),
    room BIGINT CHECK (room >= 0),
    prices TEXT NOT NULL,
    discount TEXT CHECK (discount IN ('all-units', 'incremental')),
    note TEXT NOT NULL
);

-- How many bikes of a kit the shop plans for a month, and who will choose what; an empty mix is that
-- of the month before.
CREATE TABLE planned_kits (
    id INTEGER NOT NULL PRIMARY KEY,
    kit TEXT NOT NULL,
    month DATE NOT NULL,
    bikes BIGINT NOT NULL CHECK (bikes >= 0),
    mix TEXT NOT NULL,
    UNIQUE (kit, month)
);

-- What was used of a part in a month before these books began.
CREATE TABLE demand_history (
    id INTEGER NOT NULL PRIMARY KEY,
    variant_id INTEGER NOT NULL REFERENCES variants (id),
    month DATE NOT NULL,
    used BIGINT NOT NULL CHECK (used >= 0),
    spares BIGINT NOT NULL CHECK (spares >= 0),
    lost BIGINT NOT NULL CHECK (lost >= 0),
    UNIQUE (variant_id, month)
);

-- Where the buyer did otherwise than was suggested, and why: another quantity, or not before a day.
CREATE TABLE overrules (
    id INTEGER NOT NULL PRIMARY KEY,
    variant_id INTEGER NOT NULL REFERENCES variants (id),
    made_at TIMESTAMP NOT NULL,
    user_id INTEGER NOT NULL REFERENCES users (id),
    suggested BIGINT NOT NULL CHECK (suggested >= 0),
    chosen BIGINT NOT NULL CHECK (chosen >= 0),
    put_off_until DATE,
    reason TEXT NOT NULL CHECK (reason <> ''),
    because TEXT NOT NULL,
    CHECK (put_off_until IS NULL OR chosen = 0)
);
CREATE INDEX overrules_variant ON overrules (variant_id);
CREATE INDEX overrules_user ON overrules (user_id);

-- The history takes in policies and the plan. SQLite can't change a CHECK, so the table is made anew
-- under its own name.
CREATE TABLE catalogue_changes_new AS SELECT * FROM catalogue_changes;
DROP TABLE catalogue_changes;
CREATE TABLE catalogue_changes (
    id INTEGER NOT NULL PRIMARY KEY,
    changed_at TIMESTAMP NOT NULL,
    user_id INTEGER REFERENCES users (id),
    kind TEXT NOT NULL CHECK (kind IN ('suppliers', 'bins', 'parts', 'kits', 'glossary',
        'air-charts', 'substitutions', 'policies', 'plan')),
    record TEXT NOT NULL,
    field TEXT NOT NULL,
    old_value TEXT NOT NULL,
    new_value TEXT NOT NULL,
    by_file BOOLEAN NOT NULL
);
CREATE INDEX catalogue_changes_record ON catalogue_changes (kind, record);
CREATE INDEX catalogue_changes_user ON catalogue_changes (user_id);
INSERT INTO catalogue_changes
    (id, changed_at, user_id, kind, record, field, old_value, new_value, by_file)
    SELECT id, changed_at, user_id, kind, record, field, old_value, new_value, by_file
    FROM catalogue_changes_new;
DROP TABLE catalogue_changes_new;

CREATE TRIGGER catalogue_changes_no_update BEFORE UPDATE ON catalogue_changes
BEGIN SELECT RAISE(ABORT, 'the history is never changed'); END;

CREATE TRIGGER catalogue_changes_no_delete BEFORE DELETE ON catalogue_changes
BEGIN SELECT RAISE(ABORT, 'the history is never deleted'); END;
