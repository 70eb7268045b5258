DROP TABLE leaving_orders;
