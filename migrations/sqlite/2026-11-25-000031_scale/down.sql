DROP INDEX lots_use_by;
DROP INDEX variants_stated;
DROP INDEX box_reports_amiss;
DROP INDEX kit_lines_short;
DROP INDEX purchase_order_lines_open;
DROP INDEX balances_here;
