DROP TABLE overrules;
DROP TABLE demand_history;
DROP TABLE planned_kits;
DROP TABLE buying_policies;
ALTER TABLE suppliers DROP COLUMN container_kg;
ALTER TABLE suppliers DROP COLUMN container_litres;
ALTER TABLE suppliers DROP COLUMN budget_cents;
ALTER TABLE suppliers DROP COLUMN order_cost_cents;
