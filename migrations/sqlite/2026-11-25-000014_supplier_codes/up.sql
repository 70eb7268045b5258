-- What a supplier's own code means here. It counts once a second person has confirmed it.
CREATE TABLE supplier_codes (
    id INTEGER NOT NULL PRIMARY KEY,
    supplier_id INTEGER NOT NULL REFERENCES suppliers (id),
    kind TEXT NOT NULL CHECK (kind IN ('gtin', 'item')),
    code TEXT NOT NULL CHECK (code <> ''),
    variant_id INTEGER NOT NULL REFERENCES variants (id),
    learned_by INTEGER NOT NULL REFERENCES users (id),
    learned_at TIMESTAMP NOT NULL,
    confirmed_by INTEGER REFERENCES users (id),
    confirmed_at TIMESTAMP,
    UNIQUE (supplier_id, kind, code),
    CHECK ((confirmed_by IS NULL) = (confirmed_at IS NULL)),
    CHECK (confirmed_by IS NULL OR confirmed_by <> learned_by)
);
CREATE INDEX supplier_codes_variant ON supplier_codes (variant_id);
CREATE INDEX supplier_codes_learned ON supplier_codes (learned_by);
CREATE INDEX supplier_codes_confirmed ON supplier_codes (confirmed_by);
CREATE INDEX supplier_codes_code ON supplier_codes (code);
