DROP TABLE overrules;
DROP TABLE demand_history;
DROP TABLE planned_kits;
DROP TABLE buying_policies;
ALTER TABLE suppliers DROP COLUMN container_kg;
ALTER TABLE suppliers DROP COLUMN container_litres;
ALTER TABLE suppliers DROP COLUMN budget_cents;
ALTER TABLE suppliers DROP COLUMN order_cost_cents;
ALTER TABLE catalogue_changes DISABLE TRIGGER catalogue_changes_no_delete;
DELETE FROM catalogue_changes WHERE kind IN ('policies', 'plan');
ALTER TABLE catalogue_changes ENABLE TRIGGER catalogue_changes_no_delete;
ALTER TABLE catalogue_changes DROP CONSTRAINT catalogue_changes_kind_check;
ALTER TABLE catalogue_changes ADD CONSTRAINT catalogue_changes_kind_check
    CHECK (kind IN ('suppliers', 'bins', 'parts', 'kits', 'glossary', 'air-charts',
        'substitutions'));
