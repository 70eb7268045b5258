use actix_web::web;

mod box_check;

pub(super) fn routes(service: &mut web::ServiceConfig) {
    service
        .service(box_check::get_box)
        .service(box_check::post_here)
        .service(box_check::post_report);
}
