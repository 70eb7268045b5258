DROP TABLE overrules;
DROP TABLE demand_history;
DROP TABLE planned_kits;
DROP TABLE buying_policies;
ALTER TABLE suppliers DROP COLUMN container_kg;
ALTER TABLE suppliers DROP COLUMN container_litres;
ALTER TABLE suppliers DROP COLUMN budget_cents;
ALTER TABLE suppliers DROP COLUMN order_cost_cents;
CREATE TABLE catalogue_changes_new AS
    SELECT * FROM catalogue_changes WHERE kind NOT IN ('policies', 'plan');
DROP TABLE catalogue_changes;
CREATE TABLE catalogue_changes (
    id INTEGER NOT NULL PRIMARY KEY,
    changed_at TIMESTAMP NOT NULL,
    user_id INTEGER REFERENCES users (id),
    kind TEXT NOT NULL CHECK (kind IN ('suppliers', 'bins', 'parts', 'kits', 'glossary',
        'air-charts', 'substitutions')),
    record TEXT NOT NULL,
    field TEXT NOT NULL,
    old_value TEXT NOT NULL,
    new_value TEXT NOT NULL,
    by_file BOOLEAN NOT NULL
);
CREATE INDEX catalogue_changes_record ON catalogue_changes (kind, record);
CREATE INDEX catalogue_changes_user ON catalogue_changes (user_id);
INSERT INTO catalogue_changes
    (id, changed_at, user_id, kind, record, field, old_value, new_value, by_file)
    SELECT id, changed_at, user_id, kind, record, field, old_value, new_value, by_file
    FROM catalogue_changes_new;
DROP TABLE catalogue_changes_new;

CREATE TRIGGER catalogue_changes_no_update BEFORE UPDATE ON catalogue_changes
BEGIN SELECT RAISE(ABORT, 'the history is never changed'); END;

CREATE TRIGGER catalogue_changes_no_delete BEFORE DELETE ON catalogue_changes
BEGIN SELECT RAISE(ABORT, 'the history is never deleted'); END;
