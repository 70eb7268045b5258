-- What is there now, beside all that once was: pieces in the house, lines of which more is to come,
-- pieces left out, reports of what is amiss, parts of which something is stated.
CREATE INDEX balances_here ON balances (variant_id, place_id) WHERE quantity > 0 AND NOT outside;
CREATE INDEX purchase_order_lines_open ON purchase_order_lines (purchase_order_id)
    WHERE NOT closed AND received < quantity;
CREATE INDEX kit_lines_short ON kit_lines (kit_id) WHERE short > 0;
CREATE INDEX box_reports_amiss ON box_reports (kit_line_id) WHERE outcome <> 'here';
CREATE INDEX variants_stated ON variants (id) WHERE facts <> '';
CREATE INDEX lots_use_by ON lots (use_by) WHERE use_by IS NOT NULL;
