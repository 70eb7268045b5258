-- What the shop says of two parts: one takes the place of the other, or may stand in for it.
CREATE TABLE substitutions (
    id INTEGER NOT NULL PRIMARY KEY,
    from_variant_id INTEGER NOT NULL REFERENCES variants (id),
    to_variant_id INTEGER NOT NULL REFERENCES variants (id),
    kind TEXT NOT NULL CHECK (kind IN ('superseded by', 'may stand in')),
    both_ways BOOLEAN NOT NULL,
    consent TEXT NOT NULL CHECK (consent IN ('none', 'standing rule', 'customer''s word')),
    valid_from DATE NOT NULL,
    valid_until DATE,
    until_used_up BOOLEAN NOT NULL,
    reason TEXT NOT NULL,
    source TEXT NOT NULL,
    UNIQUE (from_variant_id, to_variant_id),
    CHECK (from_variant_id <> to_variant_id),
    CHECK (NOT (both_ways AND kind = 'superseded by')),
    CHECK (NOT (until_used_up AND (kind <> 'superseded by' OR valid_until IS NOT NULL)))
);
CREATE INDEX substitutions_to ON substitutions (to_variant_id);

-- Which part a line of a kit got in the place of which, by which rule and with whose word. The line
-- is named by its number: it may be laid out anew, and what was said stays.
CREATE TABLE kit_line_changes (
    id INTEGER NOT NULL PRIMARY KEY,
    kit_id INTEGER NOT NULL REFERENCES kits (id),
    line_number BIGINT NOT NULL,
    quantity BIGINT NOT NULL CHECK (quantity > 0),
    from_variant_id INTEGER NOT NULL REFERENCES variants (id),
    to_variant_id INTEGER NOT NULL REFERENCES variants (id),
    reason TEXT NOT NULL,
    consent TEXT NOT NULL CHECK (consent IN ('none', 'standing rule', 'customer''s word')),
    said_by TEXT NOT NULL,
    said_on DATE,
    user_id INTEGER REFERENCES users (id),
    changed_at TIMESTAMP NOT NULL,
    CHECK (consent <> 'customer''s word' OR (said_by <> '' AND said_on IS NOT NULL))
);
CREATE INDEX kit_line_changes_kit ON kit_line_changes (kit_id);
CREATE INDEX kit_line_changes_from ON kit_line_changes (from_variant_id);
CREATE INDEX kit_line_changes_to ON kit_line_changes (to_variant_id);
CREATE INDEX kit_line_changes_user ON kit_line_changes (user_id);
