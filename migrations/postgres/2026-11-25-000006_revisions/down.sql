ALTER TABLE kits DROP COLUMN bills_on;

-- A code held one bill then: further revisions keep theirs under a code that names them.
UPDATE boms SET code = code || ' (revision ' || revision || ')'
    WHERE EXISTS (
        SELECT 1 FROM boms AS later WHERE later.code = boms.code
            AND (later.valid_from, later.id) > (boms.valid_from, boms.id))
    OR valid_from IS NULL
        AND EXISTS (SELECT 1 FROM boms AS other WHERE other.code = boms.code AND other.id <> boms.id);
ALTER TABLE boms DROP CONSTRAINT boms_code_revision_key;
ALTER TABLE boms DROP COLUMN valid_from;
ALTER TABLE boms ADD UNIQUE (code);
