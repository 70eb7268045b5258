CREATE TABLE suppliers (
    id INTEGER NOT NULL PRIMARY KEY,
    code TEXT NOT NULL UNIQUE,
    name TEXT NOT NULL,
    email TEXT,
    lead_days BIGINT NOT NULL CHECK (lead_days >= 0),
    lead_sd_tenths BIGINT NOT NULL CHECK (lead_sd_tenths >= 0)
);

-- Outside places (supplier, rider, scrap ...) may hold less than nothing; inside ones never do.
CREATE TABLE places (
    id INTEGER NOT NULL PRIMARY KEY,
    code TEXT NOT NULL UNIQUE,
    kind TEXT NOT NULL CHECK (kind IN ('bin', 'quarantine', 'returns', 'tote', 'carton',
        'supplier', 'rider', 'scrap', 'count difference', 'made or used up')),
    zone TEXT NOT NULL,
    walk_order BIGINT NOT NULL,
    outside BOOLEAN NOT NULL,
    UNIQUE (id, outside),
    CHECK (outside = (kind IN ('supplier', 'rider', 'scrap', 'count difference', 'made or used up')))
);

CREATE TABLE parts (
    id INTEGER NOT NULL PRIMARY KEY,
    name TEXT NOT NULL UNIQUE
);

CREATE TABLE variants (
    id INTEGER NOT NULL PRIMARY KEY,
    part_id INTEGER NOT NULL REFERENCES parts (id),
    part_number TEXT NOT NULL UNIQUE,
    variant TEXT NOT NULL,
    specification TEXT NOT NULL,
    attributes TEXT NOT NULL,
    mass_mg BIGINT NOT NULL CHECK (mass_mg >= 0),
    mass_sd_mg BIGINT NOT NULL CHECK (mass_sd_mg >= 0),
    box TEXT NOT NULL,
    tracking TEXT NOT NULL CHECK (tracking IN ('none', 'lot', 'serial')),
    class TEXT NOT NULL CHECK (class IN ('S', 'R', 'C', 'D')),
    supplier_id INTEGER REFERENCES suppliers (id),
    supplier_item TEXT,
    unit_cost_cents BIGINT NOT NULL CHECK (unit_cost_cents >= 0),
    pack BIGINT NOT NULL CHECK (pack > 0),
    minimum_order BIGINT NOT NULL CHECK (minimum_order >= 0),
    reorder_point BIGINT NOT NULL CHECK (reorder_point >= 0),
    order_quantity BIGINT NOT NULL CHECK (order_quantity >= 0),
    bin_id INTEGER REFERENCES places (id)
);
CREATE INDEX variants_part ON variants (part_id);
CREATE INDEX variants_supplier ON variants (supplier_id);
CREATE INDEX variants_bin ON variants (bin_id);

CREATE TABLE boms (
    id INTEGER NOT NULL PRIMARY KEY,
    code TEXT NOT NULL UNIQUE,
    revision TEXT NOT NULL,
    name TEXT NOT NULL,
    makes_variant_id INTEGER REFERENCES variants (id)
);
CREATE INDEX boms_makes ON boms (makes_variant_id);

CREATE TABLE bom_options (
    id INTEGER NOT NULL PRIMARY KEY,
    bom_id INTEGER NOT NULL REFERENCES boms (id),
    position BIGINT NOT NULL,
    name TEXT NOT NULL,
    allowed TEXT NOT NULL,
    UNIQUE (bom_id, name)
);

CREATE TABLE bom_steps (
    id INTEGER NOT NULL PRIMARY KEY,
    bom_id INTEGER NOT NULL REFERENCES boms (id),
    number BIGINT NOT NULL CHECK (number > 0),
    title TEXT NOT NULL,
    check_text TEXT NOT NULL,
    caution TEXT NOT NULL,
    UNIQUE (bom_id, number)
);

CREATE TABLE bom_lines (
    id INTEGER NOT NULL PRIMARY KEY,
    bom_id INTEGER NOT NULL REFERENCES boms (id),
    number BIGINT NOT NULL,
    step BIGINT NOT NULL CHECK (step >= 0),
    item TEXT NOT NULL,
    choose TEXT NOT NULL,
    conditions TEXT NOT NULL,
    quantity BIGINT NOT NULL CHECK (quantity > 0),
    carton BIGINT NOT NULL CHECK (carton >= 0),
    UNIQUE (bom_id, number)
);
