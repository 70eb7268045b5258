use std::sync::OnceLock;

use actix_web::http::{Method, StatusCode};
use actix_web::{HttpRequest, HttpResponse, web};
use utoipa::openapi::path::{Operation, PathItem};
use utoipa::openapi::security::{HttpAuthScheme, HttpBuilder, SecurityScheme};
use utoipa::openapi::{Content, OpenApi as Api, Ref, ResponseBuilder};
use utoipa::{Modify, OpenApi};

use super::api::{
    advices, bench, bills, card, catalog, events, exchange, fit, labels, leaving, orders, outbox,
    packing, people, picking, printing, purchasing, receiving, reorder, runway, stock,
    substitution, supplier_codes, trace, valuation, verification,
};
use super::problem::{Problem, ProblemBody, Unreadable};

#[derive(OpenApi)]
#[openapi(
    info(
        title = "Kitwright",
        description = "Kits of a ski bike, from the order to the verified box. Each device sends \
            its token as a bearer token. Whatever changes the shop carries a request key: the same \
            request sent again under its key is done once and answered alike. Problems come as \
            problem details (RFC 9457): decide by their code, show their title."
    ),
    nest(
        (path = "/api", api = catalog::Document),
        (path = "/api", api = bills::Document),
        (path = "/api", api = stock::Document),
        (path = "/api", api = substitution::Document),
        (path = "/api", api = trace::Document),
        (path = "/api", api = exchange::Document),
        (path = "/api", api = orders::Document),
        (path = "/api", api = fit::Document),
        (path = "/api", api = picking::Document),
        (path = "/api", api = packing::Document),
        (path = "/api", api = card::Document),
        (path = "/api", api = verification::Document),
        (path = "/api", api = bench::Document),
        (path = "/api", api = receiving::Document),
        (path = "/api", api = purchasing::Document),
        (path = "/api", api = valuation::Document),
        (path = "/api", api = advices::Document),
        (path = "/api", api = supplier_codes::Document),
        (path = "/api", api = reorder::Document),
        (path = "/api", api = runway::Document),
        (path = "/api", api = labels::Document),
        (path = "/api", api = leaving::Document),
        (path = "/api", api = printing::Document),
        (path = "/api", api = outbox::Document),
        (path = "/api", api = events::Document),
        (path = "/api", api = people::Document),
    ),
    tags(
        (name = "catalog", description = "Parts and bills of materials."),
        (name = "stock", description = "Corrections, and movements that undo others."),
        (name = "files", description = "CSV files in and out."),
        (name = "orders", description = "Orders, what can leave, and missing-part alerts."),
        (name = "picking", description = "Pick lists and the scans of a walk."),
        (name = "packing", description = "The bench: cartons, proofs, seals, papers, hand-over."),
        (name = "card", description = "Assembly cards, and the torques that they stand on."),
        (name = "box", description = "What whoever opens a box sees and says, without a token."),
        (name = "bench", description = "Bags, sets and cut forks made from stock in runs."),
        (name = "goods-in", description = "Purchase orders and what is delivered on them."),
        (name = "reorder", description = "What to order, and why."),
        (name = "purchasing", description = "The life of a purchase order, and what its deliveries cost."),
        (name = "valuation", description = "What the stock is worth."),
        (name = "labels", description = "Labels as PDF."),
        (name = "printing", description = "The shop's printers and the queue of what they print."),
        (name = "messages", description = "E-mail and webhooks that the shop sends."),
        (name = "exchange", description = "EPCIS events and UBL documents for other systems."),
        (name = "people", description = "Users and device tokens."),
    ),
    components(schemas(ProblemBody)),
    security(("token" = [])),
    modifiers(&Token, &Problems)
)]
struct Document;

struct Token;

impl Modify for Token {
    fn modify(&self, api: &mut Api) {
        let scheme = HttpBuilder::new()
            .scheme(HttpAuthScheme::Bearer)
            .description(Some("A device token, which the owner makes."))
            .build();
        let components = api.components.get_or_insert_default();
        components.add_security_scheme("token", SecurityScheme::Http(scheme));
    }
}

/// Every operation may answer a problem.
struct Problems;

impl Modify for Problems {
    fn modify(&self, api: &mut Api) {
        let content = Content::new(Some(Ref::from_schema_name("Problem")));
        let problem = ResponseBuilder::new()
            .description("A problem: its code says which.")
            .content("application/problem+json", content)
            .build();
        for item in api.paths.paths.values_mut() {
            for (_, operation) in operations(item) {
                let responses = &mut operation.responses.responses;
                responses.insert("default".to_owned(), problem.clone().into());
            }
        }
    }
}

fn operations(item: &mut PathItem) -> Vec<(Method, &mut Operation)> {
    let all = [
        (Method::GET, item.get.as_mut()),
        (Method::POST, item.post.as_mut()),
        (Method::PUT, item.put.as_mut()),
        (Method::DELETE, item.delete.as_mut()),
    ];
    all.into_iter().filter_map(|(method, it)| Some((method, it?))).collect()
}

/// Returns the API document, made once.
fn document() -> &'static Api {
    static DOCUMENT: OnceLock<Api> = OnceLock::new();
    DOCUMENT.get_or_init(Document::openapi)
}

/// Returns the methods that an address of the API takes; none where there is no such address.
fn methods_at(path: &str) -> Vec<Method> {
    let mut methods = Vec::new();
    for (template, item) in &document().paths.paths {
        if is_at(template, path) {
            methods.extend(operations(&mut item.clone()).into_iter().map(|it| it.0));
        }
    }
    methods
}

fn is_at(template: &str, path: &str) -> bool {
    let (wanted, given) = (template.split('/'), path.split('/'));
    wanted.clone().count() == given.clone().count()
        && wanted.zip(given).all(|(wanted, given)| wanted.starts_with('{') || wanted == given)
}

async fn open_api() -> HttpResponse {
    HttpResponse::Ok().json(document())
}

pub(super) fn routes(config: &mut web::ServiceConfig) {
    config.route("/openapi.json", web::get().to(open_api));
}

/// Answers an address, or a method of one, that the API does not have.
pub(super) async fn not_here(request: HttpRequest) -> Result<String, Problem> {
    let (method, path) = (request.method(), request.path());
    let methods: Vec<Method> = methods_at(path);
    if methods.is_empty() {
        return Err(Problem::request(
            StatusCode::NOT_FOUND,
            "request.no_address",
            format!("there is no '{path}': /openapi.json lists the addresses"),
        ));
    }
    let methods: Vec<&str> = methods.iter().map(Method::as_str).collect();
    let methods = methods.join(", ");
    Err(Problem::Request(Unreadable {
        status: StatusCode::METHOD_NOT_ALLOWED,
        code: "request.wrong_method",
        title: format!("'{path}' takes {methods}, not {method}"),
        allow: Some(methods),
    }))
}
