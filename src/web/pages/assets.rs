use std::sync::LazyLock;

use actix_web::http::header::{CACHE_CONTROL, ETAG, IF_NONE_MATCH};
use actix_web::{HttpRequest, HttpResponse, get};
use data_encoding::HEXLOWER;
use sha2::{Digest, Sha256};

/// A file that comes with the program.
struct Asset {
    kind: &'static str,
    text: &'static str,
    tag: String,
}

impl Asset {
    fn new(kind: &'static str, text: &'static str) -> Self {
        let tag = format!("\"{}\"", HEXLOWER.encode(&Sha256::digest(text.as_bytes())));
        Self { kind, text, tag }
    }

    /// A browser asks each time whether its copy is still good, so that no page ever meets the
    /// style or the script of another version.
    fn answer(&self, request: &HttpRequest) -> HttpResponse {
        let known = request.headers().get(IF_NONE_MATCH).and_then(|it| it.to_str().ok());
        let mut response = match known {
            Some(known) if known == self.tag => HttpResponse::NotModified(),
            _ => HttpResponse::Ok(),
        };
        response
            .insert_header((CACHE_CONTROL, "no-cache"))
            .insert_header((ETAG, self.tag.as_str()))
            .content_type(self.kind);
        if known == Some(self.tag.as_str()) { response.finish() } else { response.body(self.text) }
    }
}

static STYLE: LazyLock<Asset> = LazyLock::new(|| {
    Asset::new("text/css; charset=utf-8", include_str!("../assets/kitwright.css"))
});

static SCRIPT: LazyLock<Asset> = LazyLock::new(|| {
    Asset::new("text/javascript; charset=utf-8", include_str!("../assets/scan.js"))
});

static LIVE_SCRIPT: LazyLock<Asset> = LazyLock::new(|| {
    Asset::new("text/javascript; charset=utf-8", include_str!("../assets/live.js"))
});

#[get("/assets/kitwright.css")]
pub(super) async fn get_style(request: HttpRequest) -> HttpResponse {
    STYLE.answer(&request)
}

#[get("/assets/scan.js")]
pub(super) async fn get_script(request: HttpRequest) -> HttpResponse {
    SCRIPT.answer(&request)
}

#[get("/assets/live.js")]
pub(super) async fn get_live_script(request: HttpRequest) -> HttpResponse {
    LIVE_SCRIPT.answer(&request)
}
