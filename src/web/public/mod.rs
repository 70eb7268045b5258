use actix_web::web;

mod box_check;
mod card;

pub(super) fn routes(service: &mut web::ServiceConfig) {
    service
        .service(box_check::get_box)
        .service(card::get_card)
        .service(card::get_card_pdf)
        .service(box_check::post_here)
        .service(box_check::post_report);
}
