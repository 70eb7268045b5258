//! The API document: it can be read, and it tells the truth.

use kitwright::domain::people::Role;
use reqwest::Method;
use serde_json::Value;

use crate::support::app::TestApp;

/// Returns each operation of the document: method, address, and what is said of it.
pub fn operations(document: &Value) -> Vec<(Method, String, Value)> {
    let paths = document["paths"].as_object().expect("the document has paths");
    let mut all = Vec::new();
    for (path, item) in paths {
        for (method, operation) in item.as_object().expect("a path has operations") {
            let method = method.to_uppercase().parse().expect("a method");
            all.push((method, path.clone(), operation.clone()));
        }
    }
    all
}

#[actix_web::test]
async fn each_operation_is_served_and_has_its_parts_described() {
    let app = TestApp::start();
    let document = app.look("/openapi.json").await;
    assert_eq!(document["info"]["title"], "Kitwright");
    assert_eq!(document["components"]["securitySchemes"]["token"]["scheme"], "bearer");
    let all = operations(&document);
    assert!(!all.is_empty());
    for (method, path, operation) in all {
        assert!(operation["summary"].is_string(), "{method} {path} says what it does");
        assert!(operation["responses"]["default"].is_object(), "{method} {path} names problems");
        let described = operation["parameters"]
            .as_array()
            .map_or(0, |all| all.iter().filter(|it| it["in"] == "path").count());
        assert_eq!(described, path.matches('{').count(), "{path} describes its parts");
        let (status, body) = app.send(app.request(None, method.clone(), &path)).await;
        let expected = if path.starts_with("/api/box/") { 404 } else { 401 };
        assert_eq!(status, expected, "{method} {path}: {body}");
        assert_ne!(body["code"], "request.no_address", "{method} {path} is served");
    }
}

#[actix_web::test]
async fn each_schema_that_is_named_is_there() {
    let app = TestApp::start();
    let document = app.look("/openapi.json").await;
    let text = document.to_string();
    for name in text.split("\"#/components/schemas/").skip(1) {
        let name = name.split('"').next().expect("a name ends");
        assert!(document["components"]["schemas"][name].is_object(), "{name}");
    }
    let (status, _) = app.get(Role::Owner, "/openapi.json").await;
    assert_eq!(status, 200);
}
