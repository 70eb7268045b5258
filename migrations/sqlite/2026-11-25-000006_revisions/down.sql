PRAGMA defer_foreign_keys = ON;

ALTER TABLE kits DROP COLUMN bills_on;

-- A code held one bill then: further revisions keep theirs under a code that names them.
CREATE TABLE boms_new AS
    SELECT id, revision, name, makes_variant_id,
        CASE WHEN EXISTS (
            SELECT 1 FROM boms AS later WHERE later.code = boms.code
                AND (later.valid_from, later.id) > (boms.valid_from, boms.id))
        OR valid_from IS NULL
            AND EXISTS (SELECT 1 FROM boms AS other WHERE other.code = boms.code AND other.id <> boms.id)
        THEN code || ' (revision ' || revision || ')' ELSE code END AS code
    FROM boms;
DROP TABLE boms;
CREATE TABLE boms (
    id INTEGER NOT NULL PRIMARY KEY,
    code TEXT NOT NULL UNIQUE,
    revision TEXT NOT NULL,
    name TEXT NOT NULL,
    makes_variant_id INTEGER REFERENCES variants (id)
);
CREATE INDEX boms_makes ON boms (makes_variant_id);
INSERT INTO boms (id, code, revision, name, makes_variant_id)
    SELECT id, code, revision, name, makes_variant_id FROM boms_new;
DROP TABLE boms_new;
