-- What people and files have changed in suppliers, bins, parts and kits, field by field. A record
-- that was new is one row without a field. No user: the program itself.
CREATE TABLE catalogue_changes (
    id INTEGER NOT NULL PRIMARY KEY,
    changed_at TIMESTAMP NOT NULL,
    user_id INTEGER REFERENCES users (id),
    kind TEXT NOT NULL CHECK (kind IN ('suppliers', 'bins', 'parts', 'kits')),
    record TEXT NOT NULL,
    field TEXT NOT NULL,
    old_value TEXT NOT NULL,
    new_value TEXT NOT NULL,
    by_file BOOLEAN NOT NULL
);
CREATE INDEX catalogue_changes_record ON catalogue_changes (kind, record);
CREATE INDEX catalogue_changes_user ON catalogue_changes (user_id);

CREATE TRIGGER catalogue_changes_no_update BEFORE UPDATE ON catalogue_changes
BEGIN SELECT RAISE(ABORT, 'the history is never changed'); END;

CREATE TRIGGER catalogue_changes_no_delete BEFORE DELETE ON catalogue_changes
BEGIN SELECT RAISE(ABORT, 'the history is never deleted'); END;
