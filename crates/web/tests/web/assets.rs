//! Every file a page refers to is there, typed, and kept for good by the browser.

use axum::http::StatusCode;
use web::assets::Asset;

use crate::help::{Browser, between, locked, open};

#[tokio::test]
async fn ident_every_reference_of_a_page_is_served() {
    let bench = open();
    let mut browser = Browser::of(&bench);
    let page = browser.get("/").await.text;
    let mut seen = 0;
    for rest in page.split("=\"/assets/").skip(1) {
        let path = format!("/assets/{}", rest.split('"').next().unwrap());
        let asset = browser.get(&path).await;
        assert_eq!(asset.status, StatusCode::OK, "{path}");
        assert_eq!(asset.header("cache-control"), "public, max-age=31536000, immutable");
        let mime = match path.rsplit('.').next().unwrap() {
            "css" => "text/css; charset=utf-8",
            "js" => "text/javascript; charset=utf-8",
            _ => "image/svg+xml",
        };
        assert_eq!(asset.header("content-type"), mime);
        assert!(!asset.text.is_empty());
        seen += 1;
    }
    assert_eq!(seen, 5);
}

/// The hash in the name is the start of the SHA-256 that any tool computes.
#[tokio::test]
async fn ident_the_name_holds_the_hash_of_the_content() {
    use sha2::{Digest, Sha256};
    for asset in
        [Asset::Style, Asset::Icon, Asset::Keep, Asset::Step, Asset::Palette, Asset::Readings]
    {
        let url = asset.url();
        let served = Browser::of(&open()).get(&url).await.text;
        let hash: String =
            Sha256::digest(served).iter().take(8).map(|byte| format!("{byte:02x}")).collect();
        assert_eq!(between(&url, ".", "."), hash, "{url}");
    }
}

#[tokio::test]
async fn ident_assets_need_no_sign_in_and_old_names_are_gone() {
    let mut browser = Browser::at(&locked(), "192.168.7.40");
    assert_eq!(browser.get(&Asset::Style.url()).await.status, StatusCode::OK);
    let old = browser.get("/assets/stillwatch.0000000000000000.css").await;
    assert_eq!((old.status, old.header("cache-control")), (StatusCode::NOT_FOUND, "no-store"));
    for sly in ["/assets/", "/assets/../Cargo.toml", "/assets/%2e%2e%2fCargo.toml", "/assets/a/b"] {
        let answer = browser.get(sly).await;
        assert!(!answer.text.contains("[package]") && answer.status != StatusCode::OK, "{sly}");
    }
}
