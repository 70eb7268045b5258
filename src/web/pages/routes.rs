use actix_web::{HttpRequest, HttpResponse, web};

use super::{
    assets, bills, drafts, entries, events, export, goods_in, import, labels, make, orders,
    packing, parts, people, picking, reorder, sign_in, substitution, today, torques,
};
use crate::web::page::nothing_at;

/// The most bytes of a form without a file: a long list of serial numbers has a few thousand.
const FORM_BYTES: usize = 256 * 1024;

/// Adds every page to the service.
pub fn routes(service: &mut web::ServiceConfig) {
    service
        .app_data(web::FormConfig::default().limit(FORM_BYTES))
        .app_data(import::limits())
        .service(assets::get_style)
        .service(assets::get_script)
        .service(sign_in::get_form)
        .service(sign_in::post_sign_in)
        .service(sign_in::post_sign_out)
        .service(today::get_today)
        .service(orders::get_list)
        .service(orders::post_reserve)
        .service(orders::post_cancel)
        .service(orders::get_order)
        .service(export::get_export)
        .service(import::get_form)
        .service(import::post_import);
    service
        .service(picking::get_list)
        .service(picking::post_make)
        .service(picking::get_walk)
        .service(picking::post_scan)
        .service(picking::post_bin_short)
        .service(picking::post_take_off)
        .service(picking::get_paper)
        .service(packing::get_list)
        .service(packing::get_bench)
        .service(packing::forms::post_scan)
        .service(packing::forms::post_take_out)
        .service(packing::forms::post_put_back)
        .service(packing::forms::post_ship_short)
        .service(packing::forms::post_not_short)
        .service(packing::forms::post_seal)
        .service(packing::forms::post_hand_over)
        .service(packing::papers::get_packing_list)
        .service(events::get_kit)
        .service(events::get_document)
        .service(events::get_advice);
    service
        .service(goods_in::get_list)
        .service(goods_in::codes::post_confirm)
        .service(goods_in::codes::post_forget)
        .service(goods_in::codes::post_learn)
        .service(goods_in::advice::get_form)
        .service(goods_in::advice::post_advice)
        .service(events::get_order)
        .service(goods_in::get_order)
        .service(goods_in::post_book)
        .service(make::get_list)
        .service(make::get_plan)
        .service(make::post_make)
        .service(make::run::get_run)
        .service(make::run::post_apart)
        .service(reorder::get_list)
        .service(reorder::post_order)
        .service(drafts::get_list)
        .service(drafts::post_begin)
        .service(drafts::post_begin_new)
        .service(drafts::get_draft)
        .service(drafts::post_renumber)
        .service(drafts::post_discard)
        .service(drafts::rows::get_row)
        .service(drafts::rows::post_row)
        .service(drafts::rows::post_drop)
        .service(drafts::look::get_preview)
        .service(drafts::look::post_release)
        .service(entries::get_new_part)
        .service(entries::post_new_part)
        .service(entries::get_part)
        .service(entries::post_part)
        .service(entries::get_records)
        .service(entries::get_new_record)
        .service(entries::post_new_record)
        .service(entries::get_record)
        .service(entries::post_record)
        .service(torques::get_list)
        .service(torques::post_settle)
        .service(torques::get_card)
        .service(bills::get_list)
        .service(bills::get_bill)
        .service(bills::get_newer)
        .service(bills::post_newer)
        .service(substitution::get_kit)
        .service(substitution::post_kit)
        .service(parts::get_list)
        .service(parts::get_part)
        .service(parts::post_correct)
        .service(parts::post_reverse)
        .service(labels::get_form)
        .service(labels::post_print)
        .service(labels::get_prints)
        .service(labels::layouts::get_list)
        .service(labels::layouts::get_layout)
        .service(labels::layouts::post_layout)
        .service(people::get_list)
        .service(people::post_add)
        .service(people::post_disable)
        .service(people::post_enable)
        .service(people::post_password)
        .service(people::post_make_token)
        .service(people::post_end_token)
        .default_service(web::to(nothing_here));
}

async fn nothing_here(request: HttpRequest) -> HttpResponse {
    nothing_at(request.path())
}
