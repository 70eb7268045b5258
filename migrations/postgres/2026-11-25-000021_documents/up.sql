-- What a purchase order says on paper beyond parts, pieces and prices. An empty currency is the
-- shop's own; a line without a day is wanted when its order is due.
ALTER TABLE suppliers ADD COLUMN address TEXT NOT NULL DEFAULT '';
ALTER TABLE purchase_orders ADD COLUMN note TEXT NOT NULL DEFAULT '';
ALTER TABLE purchase_order_lines ADD COLUMN currency TEXT NOT NULL DEFAULT '';
ALTER TABLE purchase_order_lines ADD COLUMN wanted_on DATE;
