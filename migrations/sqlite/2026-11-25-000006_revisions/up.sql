-- One row for each revision of a bill. SQLite can't drop a UNIQUE, so the table is made anew under
-- its own name; rows that name a bill wait with their complaint until it is there again.
PRAGMA defer_foreign_keys = ON;

CREATE TABLE boms_new AS SELECT id, code, revision, name, makes_variant_id FROM boms;
DROP TABLE boms;
CREATE TABLE boms (
    id INTEGER NOT NULL PRIMARY KEY,
    code TEXT NOT NULL,
    revision TEXT NOT NULL,
    -- No day yet: a draft, which no order and no bench work uses.
    valid_from DATE,
    name TEXT NOT NULL,
    makes_variant_id INTEGER REFERENCES variants (id),
    UNIQUE (code, revision)
);
CREATE INDEX boms_makes ON boms (makes_variant_id);
-- What was here was in force, at the latest, when the first order came.
INSERT INTO boms (id, code, revision, valid_from, name, makes_variant_id)
    SELECT id, code, revision, COALESCE((SELECT MIN(placed_on) FROM orders), CURRENT_DATE), name,
        makes_variant_id
    FROM boms_new;
DROP TABLE boms_new;

-- The day whose bills a kit follows: that of its order, or that on which it was moved to newer ones.
ALTER TABLE kits ADD COLUMN bills_on DATE NOT NULL DEFAULT '1970-01-01';
UPDATE kits SET bills_on = (SELECT placed_on FROM orders WHERE orders.id = kits.order_id);
