-- Each print of a label that names one piece, lot, bag run, kit or carton: the paper says which
-- print it is, so that two labels alike can be told apart.
CREATE TABLE label_prints (
    id INTEGER NOT NULL PRIMARY KEY,
    kind TEXT NOT NULL CHECK (kind IN ('lot', 'serial', 'bag', 'kit', 'carton')),
    identity TEXT NOT NULL,
    print_no BIGINT NOT NULL CHECK (print_no > 0),
    labels BIGINT NOT NULL CHECK (labels > 0),
    printed_at TIMESTAMP NOT NULL,
    -- None where the program printed it for nobody who is signed in.
    user_id INTEGER REFERENCES users (id),
    UNIQUE (kind, identity, print_no)
);
CREATE INDEX label_prints_user ON label_prints (user_id);

-- The number under which a carton travels; it is kept when the label is printed again.
CREATE TABLE carton_ssccs (
    carton_id INTEGER NOT NULL PRIMARY KEY REFERENCES cartons (id),
    sscc TEXT NOT NULL UNIQUE CHECK (length(sscc) = 18)
);
CREATE INDEX carton_ssccs_carton ON carton_ssccs (carton_id);

-- Label layouts that the shop has changed; a kind that is not here prints the program's own.
CREATE TABLE label_layouts (
    kind TEXT NOT NULL PRIMARY KEY,
    layout TEXT NOT NULL,
    changed_at TIMESTAMP NOT NULL,
    user_id INTEGER REFERENCES users (id)
);
CREATE INDEX label_layouts_user ON label_layouts (user_id);
