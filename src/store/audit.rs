//! The proof of the books: what the caches say, against what the movements add up to.

use diesel::prelude::*;
use diesel::sql_query;
use diesel::sql_types::Text;

use super::Conn;

#[derive(QueryableByName)]
struct Finding {
    #[diesel(sql_type = Text)]
    finding: String,
}

/// What is proved, with the statement that finds each row where it does not hold. The statements
/// are worded so that both databases run them.
const PROOFS: [(&str, &str); 13] = [
    (
        "each balance is what the movements add up to",
        "SELECT 'balance of ' || v.part_number || ' at ' || p.code
            || CASE WHEN s.lot_id <> 0 THEN ' lot ' || COALESCE(l.code, '?') ELSE '' END
            || CASE WHEN s.serial_id <> 0 THEN ' serial number ' || COALESCE(n.code, '?') ELSE '' END
            || ': the book says ' || CAST(SUM(s.book) AS TEXT)
            || ', the movements add up to ' || CAST(SUM(s.moved) AS TEXT) AS finding
         FROM (
            SELECT variant_id, COALESCE(lot_id, 0) AS lot_id, COALESCE(serial_id, 0) AS serial_id,
                place_id, quantity AS book, 0 AS moved FROM balances
            UNION ALL
            SELECT variant_id, COALESCE(lot_id, 0), COALESCE(serial_id, 0), to_id, 0, quantity
                FROM movements
            UNION ALL
            SELECT variant_id, COALESCE(lot_id, 0), COALESCE(serial_id, 0), from_id, 0, -quantity
                FROM movements
         ) s
         JOIN variants v ON v.id = s.variant_id JOIN places p ON p.id = s.place_id
         LEFT JOIN lots l ON l.id = s.lot_id LEFT JOIN serials n ON n.id = s.serial_id
         GROUP BY v.part_number, p.code, s.lot_id, s.serial_id, l.code, n.code
         HAVING SUM(s.book) <> SUM(s.moved)
         ORDER BY v.part_number, p.code",
    ),
    (
        "each variant adds up to zero over all places",
        "SELECT 'balances of ' || v.part_number || ' add up to ' || CAST(SUM(b.quantity) AS TEXT)
            || ' over all places, not to zero' AS finding
         FROM balances b JOIN variants v ON v.id = b.variant_id
         GROUP BY v.part_number HAVING SUM(b.quantity) <> 0 ORDER BY v.part_number",
    ),
    (
        "no place of the house holds less than nothing",
        "SELECT 'balance of ' || v.part_number || ' at ' || p.code || ' is '
            || CAST(b.quantity AS TEXT) AS finding
         FROM balances b JOIN variants v ON v.id = b.variant_id JOIN places p ON p.id = b.place_id
         WHERE b.quantity < 0 AND (NOT p.outside OR NOT b.outside) ORDER BY v.part_number, p.code",
    ),
    (
        "each serial number lies in one place",
        "SELECT 'serial number ' || n.code || ' of ' || v.part_number || ' is in the house '
            || CAST(SUM(b.quantity) AS TEXT) || ' times' AS finding
         FROM balances b JOIN serials n ON n.id = b.serial_id JOIN variants v ON v.id = n.variant_id
         WHERE NOT b.outside GROUP BY n.code, v.part_number
         HAVING SUM(b.quantity) NOT IN (0, 1) ORDER BY n.code",
    ),
    (
        "no more is held for kits than lies in the bin",
        "SELECT v.part_number || ' at ' || p.code || ': ' || CAST(r.held AS TEXT)
            || ' are held for kits, and the bin holds ' || CAST(COALESCE(b.there, 0) AS TEXT)
            AS finding
         FROM (SELECT variant_id, place_id, COALESCE(lot_id, 0) AS lot_id, SUM(quantity) AS held
               FROM reservations GROUP BY variant_id, place_id, COALESCE(lot_id, 0)) r
         JOIN variants v ON v.id = r.variant_id JOIN places p ON p.id = r.place_id
         LEFT JOIN (SELECT variant_id, place_id, COALESCE(lot_id, 0) AS lot_id,
                SUM(quantity) AS there
               FROM balances GROUP BY variant_id, place_id, COALESCE(lot_id, 0)) b
            ON b.variant_id = r.variant_id AND b.place_id = r.place_id AND b.lot_id = r.lot_id
         WHERE r.held > COALESCE(b.there, 0) ORDER BY v.part_number, p.code",
    ),
    (
        "no kit line has more held and picked than it needs",
        "SELECT 'kit ' || k.number || ' line ' || CAST(l.number AS TEXT)
            || ': held and picked are more than it needs' AS finding
         FROM kit_lines l JOIN kits k ON k.id = l.kit_id
         LEFT JOIN (SELECT kit_line_id, SUM(quantity) AS held FROM reservations
               GROUP BY kit_line_id) r ON r.kit_line_id = l.id
         WHERE l.picked + l.short + COALESCE(r.held, 0) > l.quantity ORDER BY k.number, l.number",
    ),
    (
        "each kit line counts what was moved for it into its tote and its carton",
        "SELECT 'kit ' || k.number || ' line ' || CAST(l.number AS TEXT) || ': ' ||
            CAST(l.picked AS TEXT) || ' picked and ' || CAST(l.packed AS TEXT)
            || ' packed by the line, ' || CAST(COALESCE(m.picked, 0) AS TEXT) || ' and '
            || CAST(COALESCE(m.packed, 0) AS TEXT) || ' by the movements' AS finding
         FROM kit_lines l JOIN kits k ON k.id = l.kit_id
         LEFT JOIN (
            SELECT m.kit_line_id,
                SUM(CASE WHEN t.kind = 'tote' AND f.kind <> 'carton' THEN m.quantity
                    WHEN f.kind = 'tote' AND t.kind <> 'carton' THEN -m.quantity ELSE 0 END)
                    AS picked,
                SUM(CASE WHEN t.kind = 'carton' AND f.kind = 'tote' THEN m.quantity
                    WHEN f.kind = 'carton' AND t.kind = 'tote' THEN -m.quantity ELSE 0 END)
                    AS packed
            FROM movements m JOIN places f ON f.id = m.from_id JOIN places t ON t.id = m.to_id
            WHERE m.kit_line_id IS NOT NULL GROUP BY m.kit_line_id
         ) m ON m.kit_line_id = l.id
         WHERE l.picked <> COALESCE(m.picked, 0) OR l.packed <> COALESCE(m.packed, 0)
         ORDER BY k.number, l.number",
    ),
    (
        "a sealed carton holds all that its lines need",
        "SELECT 'carton ' || c.number || ' is sealed and lacks pieces of line '
            || CAST(l.number AS TEXT) || ' of kit ' || k.number AS finding
         FROM cartons c JOIN kits k ON k.id = c.kit_id
         JOIN kit_lines l ON l.kit_id = k.id AND l.carton = c.position
         WHERE c.sealed_at IS NOT NULL AND l.packed + l.short <> l.quantity
         ORDER BY c.number, l.number",
    ),
    (
        "each purchase order line counts what was received on it",
        "SELECT 'purchase order ' || o.number || ' line ' || CAST(l.line_no AS TEXT) || ': '
            || CAST(l.received AS TEXT) || ' received by the line, '
            || CAST(COALESCE(r.received, 0) AS TEXT) || ' by its receipts' AS finding
         FROM purchase_order_lines l JOIN purchase_orders o ON o.id = l.purchase_order_id
         LEFT JOIN (SELECT purchase_order_line_id, SUM(quantity + damaged) AS received
               FROM receipts GROUP BY purchase_order_line_id) r ON r.purchase_order_line_id = l.id
         WHERE l.received <> COALESCE(r.received, 0) ORDER BY o.number, l.line_no",
    ),
    (
        "each run made the pieces that its movements brought in",
        "SELECT 'run ' || r.number || ': ' || CAST(r.pieces AS TEXT) || ' made by the run, '
            || CAST(COALESCE(m.made, 0) AS TEXT) || ' by its movements' AS finding
         FROM bench_runs r LEFT JOIN (
            SELECT b.run_id, x.variant_id, COALESCE(x.lot_id, 0) AS lot_id,
                SUM(x.quantity) AS made
            FROM bench_moves b JOIN movements x ON x.id = b.movement_id
            WHERE b.role = 'made' GROUP BY b.run_id, x.variant_id, COALESCE(x.lot_id, 0)
         ) m ON m.run_id = r.id AND m.variant_id = r.variant_id
            AND m.lot_id = COALESCE(r.lot_id, 0)
         WHERE r.pieces <> COALESCE(m.made, 0) ORDER BY r.number",
    ),
    (
        "each movement of a run does what the run says of it",
        "SELECT 'movement ' || CAST(m.id AS TEXT) || ' of run ' || r.number || ' goes from '
            || f.code || ' to ' || t.code || ', which is not ' || COALESCE(b.role, 'said of it')
            AS finding
         FROM movements m JOIN places f ON f.id = m.from_id JOIN places t ON t.id = m.to_id
         LEFT JOIN bench_moves b ON b.movement_id = m.id
         JOIN bench_runs r ON r.id = b.run_id OR b.id IS NULL AND r.request_key = m.request_key
         WHERE b.id IS NULL OR NOT (
            b.role IN ('used', 'taken apart') AND NOT f.outside AND t.kind = 'made or used up'
            OR b.role IN ('made', 'back') AND f.kind = 'made or used up' AND NOT t.outside
            OR b.role = 'scrapped' AND f.kind = 'made or used up' AND t.kind = 'scrap'
            OR b.role = 'lost' AND NOT f.outside AND t.kind = 'scrap')
            OR b.role IN ('used', 'made', 'lost') AND r.request_key <> m.request_key
         ORDER BY m.id",
    ),
    (
        "nothing of a run comes out more often than it went in",
        "SELECT 'run ' || r.number || ': ' || v.part_number
            || CASE WHEN s.lot_id <> 0 THEN ' lot ' || COALESCE(l.code, '?') ELSE '' END
            || CASE WHEN s.serial_id <> 0 THEN ' serial number ' || COALESCE(n.code, '?') ELSE '' END
            || ' came out ' || CAST(SUM(s.more) AS TEXT) || ' times more than it went in' AS finding
         FROM (
            SELECT b.run_id, m.variant_id, COALESCE(m.lot_id, 0) AS lot_id,
                COALESCE(m.serial_id, 0) AS serial_id,
                CASE WHEN b.role IN ('used', 'made') THEN -m.quantity
                    WHEN b.role = 'lost' THEN 0 ELSE m.quantity END AS more
            FROM bench_moves b JOIN movements m ON m.id = b.movement_id
         ) s
         JOIN bench_runs r ON r.id = s.run_id JOIN variants v ON v.id = s.variant_id
         LEFT JOIN lots l ON l.id = s.lot_id LEFT JOIN serials n ON n.id = s.serial_id
         GROUP BY r.number, v.part_number, s.lot_id, s.serial_id, l.code, n.code
         HAVING SUM(s.more) > 0 ORDER BY r.number, v.part_number",
    ),
    (
        "each part of a run comes out as often as it went into the pieces taken apart",
        "SELECT 'run ' || r.number || ': ' || CAST(s.back AS TEXT) || ' of ' || CAST(s.used AS TEXT)
            || ' ' || v.part_number || ' came out of ' || CAST(COALESCE(a.apart, 0) AS TEXT)
            || ' of ' || CAST(r.pieces AS TEXT) || ' pieces' AS finding
         FROM bench_runs r JOIN (
            SELECT b.run_id, m.variant_id,
                SUM(CASE WHEN b.role = 'used' THEN m.quantity ELSE 0 END) AS used,
                SUM(CASE WHEN b.role IN ('back', 'scrapped') THEN m.quantity ELSE 0 END) AS back
            FROM bench_moves b JOIN movements m ON m.id = b.movement_id
            WHERE b.role IN ('used', 'back', 'scrapped') GROUP BY b.run_id, m.variant_id
         ) s ON s.run_id = r.id
         JOIN variants v ON v.id = s.variant_id
         LEFT JOIN (
            SELECT b.run_id, SUM(m.quantity) AS apart
            FROM bench_moves b JOIN movements m ON m.id = b.movement_id
            WHERE b.role = 'taken apart' GROUP BY b.run_id
         ) a ON a.run_id = r.id
         WHERE s.back * r.pieces <> s.used * COALESCE(a.apart, 0) ORDER BY r.number, v.part_number",
    ),
];

/// Runs every proof, and returns each with the rows where it does not hold.
pub fn prove(conn: &mut Conn) -> QueryResult<Vec<(&'static str, Vec<String>)>> {
    PROOFS
        .iter()
        .map(|(proof, statement)| {
            let findings: Vec<Finding> = sql_query(*statement).load(conn)?;
            Ok((*proof, findings.into_iter().map(|it| it.finding).collect()))
        })
        .collect()
}
