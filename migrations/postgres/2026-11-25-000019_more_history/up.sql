-- The history takes in the words of the glossary, the air charts and the rules about parts that stand
-- in.
ALTER TABLE catalogue_changes DROP CONSTRAINT catalogue_changes_kind_check;
ALTER TABLE catalogue_changes ADD CONSTRAINT catalogue_changes_kind_check
    CHECK (kind IN ('suppliers', 'bins', 'parts', 'kits', 'glossary', 'air-charts',
        'substitutions'));
