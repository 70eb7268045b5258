-- One row for each revision of a bill.
ALTER TABLE boms DROP CONSTRAINT boms_code_key;
-- No day yet: a draft, which no order and no bench work uses.
ALTER TABLE boms ADD COLUMN valid_from DATE;
ALTER TABLE boms ADD UNIQUE (code, revision);
-- What was here was in force, at the latest, when the first order came.
UPDATE boms SET valid_from = COALESCE((SELECT MIN(placed_on) FROM orders), CURRENT_DATE);

-- The day whose bills a kit follows: that of its order, or that on which it was moved to newer ones.
ALTER TABLE kits ADD COLUMN bills_on DATE NOT NULL DEFAULT '1970-01-01';
UPDATE kits SET bills_on = (SELECT placed_on FROM orders WHERE orders.id = kits.order_id);
