CREATE TABLE orders (
    id INTEGER NOT NULL PRIMARY KEY,
    number TEXT NOT NULL UNIQUE,
    placed_on DATE NOT NULL,
    promised_on DATE NOT NULL,
    customer TEXT NOT NULL,
    channel TEXT NOT NULL CHECK (channel IN ('rider', 'dealer')),
    email TEXT NOT NULL,
    address TEXT NOT NULL,
    country TEXT NOT NULL
);
CREATE INDEX orders_promised ON orders (promised_on);

CREATE TABLE kits (
    id INTEGER NOT NULL PRIMARY KEY,
    number TEXT NOT NULL UNIQUE,
    order_id INTEGER NOT NULL REFERENCES orders (id),
    line_no BIGINT NOT NULL,
    piece_no BIGINT NOT NULL,
    bom_id INTEGER NOT NULL REFERENCES boms (id),
    bom_revision TEXT NOT NULL,
    state TEXT NOT NULL CHECK (state IN ('open', 'picking', 'sealed', 'despatched', 'cancelled')),
    tote_id INTEGER REFERENCES places (id),
    despatched_at TIMESTAMP,
    UNIQUE (order_id, line_no, piece_no)
);
CREATE INDEX kits_bom ON kits (bom_id);
CREATE INDEX kits_tote ON kits (tote_id);
CREATE INDEX kits_state ON kits (state);

CREATE TABLE kit_options (
    id INTEGER NOT NULL PRIMARY KEY,
    kit_id INTEGER NOT NULL REFERENCES kits (id),
    name TEXT NOT NULL,
    value TEXT NOT NULL,
    UNIQUE (kit_id, name)
);

CREATE TABLE kit_lines (
    id INTEGER NOT NULL PRIMARY KEY,
    kit_id INTEGER NOT NULL REFERENCES kits (id),
    number BIGINT NOT NULL,
    step BIGINT NOT NULL CHECK (step >= 0),
    variant_id INTEGER NOT NULL REFERENCES variants (id),
    quantity BIGINT NOT NULL CHECK (quantity > 0),
    carton BIGINT NOT NULL CHECK (carton > 0),
    picked BIGINT NOT NULL DEFAULT 0,
    packed BIGINT NOT NULL DEFAULT 0,
    short BIGINT NOT NULL DEFAULT 0 CHECK (short >= 0),
    short_reason TEXT,
    short_by INTEGER REFERENCES users (id),
    UNIQUE (kit_id, number),
    CHECK (0 <= packed AND packed <= picked AND picked + short <= quantity),
    CHECK ((short = 0) = (short_reason IS NULL))
);
CREATE INDEX kit_lines_variant ON kit_lines (variant_id);
CREATE INDEX kit_lines_short_by ON kit_lines (short_by);

CREATE TABLE cartons (
    id INTEGER NOT NULL PRIMARY KEY,
    kit_id INTEGER NOT NULL REFERENCES kits (id),
    position BIGINT NOT NULL CHECK (position > 0),
    number TEXT NOT NULL UNIQUE,
    place_id INTEGER NOT NULL REFERENCES places (id),
    sealed_at TIMESTAMP,
    sealed_by INTEGER REFERENCES users (id),
    UNIQUE (kit_id, position),
    CHECK ((sealed_at IS NULL) = (sealed_by IS NULL))
);
CREATE INDEX cartons_place ON cartons (place_id);
CREATE INDEX cartons_sealed_by ON cartons (sealed_by);

CREATE TABLE pick_lists (
    id INTEGER NOT NULL PRIMARY KEY,
    number TEXT NOT NULL UNIQUE,
    created_at TIMESTAMP NOT NULL,
    user_id INTEGER NOT NULL REFERENCES users (id)
);
CREATE INDEX pick_lists_user ON pick_lists (user_id);

CREATE TABLE pick_list_kits (
    id INTEGER NOT NULL PRIMARY KEY,
    pick_list_id INTEGER NOT NULL REFERENCES pick_lists (id),
    kit_id INTEGER NOT NULL UNIQUE REFERENCES kits (id),
    slot BIGINT NOT NULL CHECK (slot > 0),
    UNIQUE (pick_list_id, slot)
);

-- What whoever opens the box said of a line; the newest word counts.
CREATE TABLE box_reports (
    id INTEGER NOT NULL PRIMARY KEY,
    kit_line_id INTEGER NOT NULL REFERENCES kit_lines (id),
    outcome TEXT NOT NULL CHECK (outcome IN ('here', 'missing', 'damaged')),
    quantity BIGINT NOT NULL CHECK (quantity > 0),
    note TEXT NOT NULL,
    reported_at TIMESTAMP NOT NULL
);
CREATE INDEX box_reports_line ON box_reports (kit_line_id);
