DROP TABLE receipts;
DROP TABLE purchase_order_lines;
DROP TABLE purchase_orders;
