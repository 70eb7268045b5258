ALTER TABLE purchase_order_lines DROP COLUMN wanted_on;
ALTER TABLE purchase_order_lines DROP COLUMN currency;
ALTER TABLE purchase_orders DROP COLUMN note;
ALTER TABLE suppliers DROP COLUMN address;
