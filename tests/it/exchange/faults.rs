use kitwright::exchange::{
    At, Fault, Kind, bins, kits, orders, parts, purchase_orders, stock, suppliers,
};

/// Checks the faults of a file, as they are shown.
fn check<T: std::fmt::Debug>(read: Result<Vec<At<T>>, Vec<Fault>>, expected: &[&str]) {
    let found: Vec<String> = read.unwrap_err().iter().map(ToString::to_string).collect();
    assert_eq!(found, expected);
}

/// Returns the lines on which the records of a file stand.
fn lines<T>(read: Result<Vec<At<T>>, Vec<Fault>>) -> Vec<u64> {
    read.unwrap_or_else(|faults| panic!("{faults:?}")).iter().map(|it| it.line).collect()
}

const BINS: &str = "bin,kind,walk_order,zone\n";

fn bins_file(rows: &str) -> Result<Vec<At<kitwright::domain::catalog::BinRecord>>, Vec<Fault>> {
    bins::read(format!("{BINS}{rows}").as_bytes())
}

#[test]
fn a_spreadsheet_may_write_semicolons_a_mark_and_empty_rows() {
    let marked = "\u{feff}bin;kind;walk_order;zone\r\nH-01-1I;bin;1;\"wall, left\"\r\n;;;\r\n";
    let read = bins::read(marked.as_bytes()).unwrap();
    assert_eq!(read[0].value.zone, "wall, left");
    assert_eq!(read.len(), 1);
}

#[test]
fn line_numbers_are_those_of_the_file() {
    let rows = "\n\nH-01-1I,bin,1,a\n\n\nH-01-2G,bin,2,b\n";
    assert_eq!(lines(bins_file(rows)), [4, 7]);
    assert_eq!(lines(bins_file(&rows.replace('\n', "\r\n"))), [4, 7]);
}

#[test]
fn columns_may_stand_in_any_order_and_case() {
    let file = b"Zone,BIN,walk_order,kind\nwall,h-01-1i,1,bin\n";
    let read = bins::read(file).unwrap();
    assert_eq!(read[0].value.code.as_str(), "H-01-1I");
}

#[test]
fn an_empty_file_says_what_to_write() {
    let expected = "line 1: the file is empty: its first line should be bin,kind,walk_order,zone";
    check(bins::read(b""), &[expected]);
    check(bins::read(b"\xef\xbb\xbf\r\n"), &[expected]);
}

#[test]
fn the_heading_is_checked() {
    check(
        bins::read(b"bin,kind,walk,zone,zone,\nH-01-1I,bin,1,a,b,\n"),
        &[
            "line 1: column 6 has no name: name it or remove it",
            "line 1, column walk: unknown column: the columns are bin, kind, walk_order, zone",
            "line 1, column walk_order: this column is missing: add it to the first line",
            "line 1, column zone: this column is there twice: remove one of them",
        ],
    );
}

#[test]
fn every_fault_is_listed_with_its_line() {
    check(
        bins_file(
            "H-01-1N,shelf,x,\nH-01-2G,bin,1\nH-01-1I,bin,1,a\nh-01-1i,bin,2,b,c\nH-01-1I,bin,2,\"b\n",
        ),
        &[
            "line 2, column bin: 'H-01-1N' has a wrong character: the last one does not match the \
             others, so read the label again",
            "line 2, column kind: 'shelf' is not a kind of bin: write one of bin, quarantine, \
             returns",
            "line 2, column walk_order: 'x' is not a whole number from 0 to 1000000, such as 12",
            "line 2, column zone: this field is empty: fill it in",
            "line 3: this line has 3 fields, and the first line has 4: put quotes around a text \
             that holds the separator, and write a separator for each empty field",
            "line 5: this line has 5 fields, and the first line has 4: put quotes around a text \
             that holds the separator, and write a separator for each empty field",
            "line 6, column bin: H-01-1I is on line 4 already: keep one of the two",
        ],
    );
}

#[test]
fn text_that_is_not_utf8_is_named_by_line() {
    check(
        bins::read(b"bin,kind,walk_order,zone\nH-01-1I,bin,1,b\xfcgel\nH-01-2G,bin,y,a\n"),
        &[
            "line 2: the line is not UTF-8 from byte 16 on: save the file again as CSV in UTF-8",
            "line 3, column walk_order: 'y' is not a whole number from 0 to 1000000, such as 12",
        ],
    );
    let utf16 = [0xFF, 0xFE, b'b', 0];
    check(bins::read(&utf16), &["line 1: the file is in UTF-16: save it again as CSV in UTF-8"]);
}

#[test]
fn a_quote_left_open_is_not_taken_for_a_name() {
    check(
        bins_file("H-01-1I,bin,1,\"wall\nH-01-2G,bin,2,wall\n"),
        &["line 2, column zone: a line break or another control character stands in the field: \
           remove it, and look for a quote that is not closed"],
    );
}

#[test]
fn suppliers_need_a_lead_time_and_a_likely_address() {
    check(
        suppliers::read(
            b"code,name,email,lead_days,lead_sd_days\nTF,Fasteners,orders at tf,3 weeks,0.55\n",
        ),
        &[
            "line 2, column email: 'orders at tf' is not an email address: write one, such as \
             orders@shop.example",
            "line 2, column lead_days: '3 weeks' is not a whole number from 0 to 1000000, such as \
             12",
            "line 2, column lead_sd_days: '0.55' is not a number with at most one decimal, such \
             as 6 or 0.5",
        ],
    );
}

const PARTS: &str = "part_number,part,variant,specification,attributes,mass_g,mass_sd_g,box_mm,\
                     tracking,class,supplier,supplier_item,unit_cost,pack,minimum_order,\
                     reorder_point,order_quantity,bin\n";

#[test]
fn a_part_is_checked_field_by_field() {
    let row = "MT108R,,,,size,7.9,-1,60x40,batch,X,TF,,0.175,0,1,1,1,\n";
    check(
        parts::read(format!("{PARTS}{row}").as_bytes()),
        &[
            "line 2, column attributes: 'size' is not an attribute: write a name, = and a value, \
             such as size=M",
            "line 2, column box_mm: '60x40' is not a box size: write length x width x height in \
             mm, such as 980x190x480",
            "line 2, column class: 'X' is not a class: write one of S (stops the build), R (stops \
             the ride), C (looks only), D (must not leave without)",
            "line 2, column mass_sd_g: '-1' is not a number of grams, such as 3480 or 0.44",
            "line 2, column pack: the quantity is 0: write at least 1, or remove the line",
            "line 2, column part: this field is empty: fill it in",
            "line 2, column tracking: 'batch' is not a way of tracking: write one of none, lot, \
             serial",
            "line 2, column unit_cost: '0.175' is not an amount with at most two decimals, such \
             as 318 or 0.17",
        ],
    );
}

#[test]
fn stock_with_a_serial_number_is_one_piece_in_one_place() {
    let rows = "FR101O,H-01-1I,2,,,S-1\nFR102M,H-01-1I,1,,26-1-5,S-1\nFR102M,H-01-2G,1,,,S-1\n\
                FR102M,H-01-2G,1,,,S-1\nMT108R,H-01-1I,5,L1,,\nMT108R,H-01-1I,6,L1,,\n\
                MT108R,H-01-1I,6,,2027-01-31,\n";
    check(
        stock::read(format!("part_number,bin,quantity,lot,use_by,serial\n{rows}").as_bytes()),
        &[
            "line 2, column quantity: a piece with a serial number is one piece: write 1",
            "line 3, column use_by: '26-1-5' is not a day: write year-month-day, such as \
             2026-11-26",
            "line 5, column part_number: FR102M with serial number S-1 is on line 4 already: keep \
             one of the two",
            "line 7, column part_number: MT108R of lot L1 in H-01-1I is on line 6 already: keep \
             one of the two",
            "line 8, column lot: a use-by day belongs to a lot: fill in the lot",
        ],
    );
}

const ORDERS: &str = "order,placed_on,promised_on,customer,channel,email,address,country,kit,\
                      quantity,size\n";

#[test]
fn rows_of_one_order_make_one_order() {
    let rows = "7,2026-11-01,2026-12-01,Ana,dealer,,Way 1,SI,BIKE,2,M\n\
                8,2026-11-01,2026-12-01,Bo,rider,,Way 2,SE,BIKE,1,\n\
                7,2026-11-01,2026-12-01,Ana,dealer,,Way 1,SI,BIKE,1,L\n";
    let read = orders::read(format!("{ORDERS}{rows}").as_bytes()).unwrap();
    let order = &read[0].value;
    let lines: Vec<_> = order.lines.iter().map(|it| (it.line_no, it.at)).collect();
    assert_eq!((read.len(), read[1].line, lines), (2, 3, vec![(1, 2), (2, 4)]));
    assert_eq!(order.lines[1].options["size"], "L");
    assert!(read[1].value.lines[0].options.is_empty());
}

#[test]
fn rows_of_one_order_must_agree() {
    let rows = "7,2026-11-01,2026-12-01,Ana,dealer,,Way 1,SI,BIKE,2,M\n\
                7,2026-11-01,2026-12-02,Ana,dealer,,Way 1,SI,BIKE,1,L\n\
                8,2026-12-02,2026-12-01,Bo,shop,,Way 2,Sweden,BIKE,0,L\n";
    check(
        orders::read(format!("{ORDERS}{rows}").as_bytes()),
        &[
            "line 3, column promised_on: '2026-12-02' is not what line 2 says for the same order, \
             '2026-12-01': make the two agree, or give this row another number",
            "line 4, column channel: 'shop' is not a channel: write one of rider, dealer",
            "line 4, column country: 'Sweden' is not a country: write its two capitals, such as \
             CH",
            "line 4, column promised_on: the promised day lies before the day of the order",
            "line 4, column quantity: the quantity is 0: write at least 1, or remove the line",
        ],
    );
}

#[test]
fn a_purchase_order_is_due_after_it_is_sent() {
    let heading = "purchase_order,supplier,ordered_on,due_on,part_number,quantity,unit_price\n";
    let rows = "P1,TF,2026-11-06,2026-11-05,MT108R,200,0.17\n";
    check(
        purchase_orders::read(format!("{heading}{rows}").as_bytes()),
        &["line 2, column due_on: the goods are due before the day of the purchase order"],
    );
}

#[test]
fn a_kit_file_is_checked_as_a_whole() {
    check(
        kits::read(include_bytes!("../../data/kits_with_faults.csv")),
        &[
            "line 4, column quantity: such a row uses only number, name, revision, values: empty this field",
            "line 6, column step: kit BIKE has no step 3",
            "line 7, column choose: kit BIKE has no option 'length': its options are size, ski",
            "line 8, column when: '100' is no ski: the kit has 95, 105",
            "line 9, column choose: MT108R leaves nothing to choose: empty this field",
            "line 10, column kit: the kit 'LOST' has no kit row: add one with its name",
            "line 13, column part: 'Pinch bolt' leaves open what goes into a stocked kit: write a \
             part number, or the code of a kit in this file",
            "line 14, column part: kit BAG on line 11 makes HB105N already: a part number has one \
             bill",
            "line 16, column part: 'MT108X' has a wrong character: the last one does not match \
             the others, so read the label again",
            "line 17, column number: the number 10 is on line 15 of the file already: take another",
            "line 18, column record: 'lines' is not a record: write one of kit, option, step, line, words, joint, joint-words, torque, key",
        ],
    );
}

#[test]
fn kinds_have_names() {
    for kind in Kind::ALL {
        assert_eq!(kind.as_str().parse(), Ok(kind));
    }
    let error = "recipes".parse::<Kind>().unwrap_err().to_string();
    assert!(error.starts_with("'recipes' is no kind of file: write one of parts"));
}

#[test]
fn several_revisions_stand_in_one_file() {
    let heading = "record,kit,number,name,part,revision,values,step,choose,when,quantity,carton,check,\
                   caution,valid_from\n";
    let file = "kit,BAG,,Bag,HB105N,A,,,,,,,,,2026-01-01\nline,BAG,10,,MT108R,A,,,,,4,,,,\n\
                kit,BAG,,Bag,HB105N,B,,,,,,,,,draft\nline,BAG,10,,MT108R,B,,,,,5,,,,\n\
                kit,SACK,,Sack,,A,,,,,,,,,\nline,SACK,10,,BAG,,,,,,1,,,,\n";
    let read: Vec<_> = kits::read(format!("{heading}{file}").as_bytes()).unwrap();
    let found: Vec<String> = read
        .iter()
        .map(|it| {
            let (bom, dated) = (&it.value.bom, it.value.dated);
            let (lines, from) = (bom.lines[0].quantity, bom.valid_from);
            format!("{} {} {from:?} {dated} {lines}", bom.code, bom.revision)
        })
        .collect();
    let expected = ["BAG A Some(2026-01-01) true 4", "BAG B None true 5", "SACK A None false 1"];
    assert_eq!(found, expected);
    let torn = "line,BAG,20,,MT108R,,,,,,4,,,,\nline,BAG,20,,MT108R,C,,,,,4,,,,\n\
                kit,CASE,,Case,,A,,,,,,,,,soon\n";
    check(
        kits::read(format!("{heading}{file}{torn}").as_bytes()),
        &[
            "line 8, column revision: the file has several revisions of BAG: write which one this \
             row is of, A or B",
            "line 9, column kit: the kit 'BAG' has no kit row of revision C: add one with its name",
            "line 10, column valid_from: 'soon' is not a day: write year-month-day, such as \
             2026-11-26, or draft for a revision that nobody is to use yet",
        ],
    );
}
