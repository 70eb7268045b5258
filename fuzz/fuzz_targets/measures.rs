//! Whatever is typed as a measure is read or refused; what is read is written so that it reads back
//! the same, and its figures stay inside the band in every unit.
#![no_main]

use kitwright::domain::fasteners::MetricThread;
use kitwright::units::{Band, PressureUnit, StatedLength, TorqueUnit, Unit, disagree};
use libfuzzer_sys::fuzz_target;

fn there_and_back<U: Unit>(text: &str) -> Option<Band<U>> {
    let read = text.parse::<Band<U>>().ok()?;
    assert_eq!(read.to_string().parse(), Ok(read));
    for unit in U::ALL {
        // Converted figures may have more digits than a person may state.
        let shown = read.shown_in(*unit, 0).parse::<Band<U>>();
        if let Some(shown) = shown.ok().filter(|_| read.has_ends()) {
            assert!(read.low() <= shown.low());
            assert!(shown.high() <= read.high());
        }
    }
    Some(read)
}

fuzz_target!(|text: &str| {
    if let Some(torque) = there_and_back::<TorqueUnit>(text) {
        assert_eq!(disagree(&torque, &torque), None);
    }
    there_and_back::<PressureUnit>(text);
    if let Ok(length) = text.parse::<StatedLength>() {
        assert_eq!(length.to_string().parse(), Ok(length));
    }
    if let Ok(thread) = text.parse::<MetricThread>() {
        assert_eq!(thread.to_string().parse(), Ok(thread));
    }
});
