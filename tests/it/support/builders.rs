//! Walks of the shop that many tests need: pick a kit, pack it, seal it, hand it over.

use std::sync::atomic::{AtomicU32, Ordering};

use kitwright::domain::people::Role;
use serde_json::{Value, json};

use super::app::TestApp;

/// Returns a request key that no other request of this run has.
pub fn key() -> String {
    static COUNT: AtomicU32 = AtomicU32::new(0);
    format!("test-key-{}", COUNT.fetch_add(1, Ordering::Relaxed))
}

/// Returns a text of an answer.
pub fn text(value: &Value) -> String {
    value.as_str().unwrap_or_else(|| panic!("{value} is a text")).to_owned()
}

/// Returns the entries of an answer.
pub fn rows(value: &Value) -> &[Value] {
    value.as_array().unwrap_or_else(|| panic!("{value} is a list"))
}

/// Returns the entry whose field is that text.
pub fn find<'a>(list: &'a Value, field: &str, wanted: &str) -> &'a Value {
    let found = rows(list).iter().find(|it| it[field] == wanted);
    found.unwrap_or_else(|| panic!("no {field} is {wanted} in {list:#}"))
}

impl TestApp {
    /// Posts JSON with a fresh request key.
    pub async fn act(&self, role: Role, path: &str, mut body: Value) -> (u16, Value) {
        body["request_key"] = json!(key());
        self.post(role, path, body).await
    }

    /// Returns the number of an order's first kit.
    pub async fn kit_of(&self, order: &str) -> String {
        text(&self.look(&format!("/api/orders/{order}")).await["kits"][0]["number"])
    }

    /// Makes a pick list over kits; returns its number.
    pub async fn pick_list(&self, kits: &[&str]) -> String {
        let (status, made) =
            self.act(Role::Warehouse, "/api/pick-lists", json!({ "kits": kits })).await;
        assert_eq!(status, 201, "{made}");
        text(&made["number"])
    }

    /// Scans on a walk; returns the answer, which may be a refusal.
    pub async fn pick_scan(&self, list: &str, scan: Value) -> Value {
        let path = format!("/api/pick-lists/{list}/scans");
        let (status, answer) = self.act(Role::Warehouse, &path, scan).await;
        assert_eq!(status, 200, "{answer}");
        answer
    }

    /// Scans at the bench; returns the answer, which may be a refusal.
    pub async fn pack_scan(&self, kit: &str, scan: Value) -> Value {
        let path = format!("/api/kits/{kit}/scans");
        let (status, answer) = self.act(Role::Warehouse, &path, scan).await;
        assert_eq!(status, 200, "{answer}");
        answer
    }

    /// Returns what a place holds of a part, with lots and serial numbers.
    pub async fn held(&self, part: &str, place: &str) -> Vec<Value> {
        let part = self.look(&format!("/api/parts/{part}")).await;
        rows(&part["balances"]).iter().filter(|it| it["place"] == place).cloned().collect()
    }

    /// Returns how many pieces a place holds of a part.
    pub async fn count(&self, part: &str, place: &str) -> i64 {
        self.held(part, place).await.iter().filter_map(|it| it["quantity"].as_i64()).sum()
    }

    /// Takes what a stop asks for one kit, as a careful picker does.
    async fn take(&self, list: &str, stop: &Value, take: &Value) {
        let (bin, part) = (text(&stop["bin"]), text(&stop["part_number"]));
        let at_bin = self.pick_scan(list, json!({ "code": bin, "take": take })).await;
        assert_eq!(at_bin["code"], "pick.bin_confirmed", "{at_bin}");
        let code = match stop["tracking"].as_str() {
            Some("lot") => format!("1T{}", text(&stop["lot"])),
            Some("serial") => {
                let held = self.held(&part, &bin).await;
                format!("S{}", text(&held.first().expect("a piece lies there")["serial"]))
            }
            _ => part,
        };
        let taken = self.pick_scan(list, json!({ "code": code, "take": take, "bin": bin })).await;
        assert_eq!(taken["code"], "pick.taken", "{taken}");
    }

    /// Walks a pick list to its end.
    pub async fn walk(&self, list: &str) {
        let view = self.look(&format!("/api/pick-lists/{list}")).await;
        for stop in rows(&view["stops"]) {
            for take in rows(&stop["takes"]) {
                self.take(list, stop, &take["take"]).await;
            }
        }
    }

    /// Packs all that a kit's tote holds.
    pub async fn pack(&self, kit: &str) {
        let bench = self.look(&format!("/api/kits/{kit}")).await;
        for carton in rows(&bench["cartons"]) {
            for line in rows(&carton["lines"]) {
                let part = text(&line["part_number"]);
                if line["picked"] != line["packed"] {
                    self.pack_part(kit, &carton["position"], &part, &line["picked"]).await;
                }
            }
        }
    }

    async fn pack_part(&self, kit: &str, carton: &Value, part: &str, count: &Value) {
        let scan = json!({ "code": part, "carton": carton, "quantity": count });
        let answer = self.pack_scan(kit, scan).await;
        if answer["outcome"] == "ok" {
            return;
        }
        for held in self.held(part, kit).await {
            let code = match (&held["lot"], &held["serial"]) {
                (Value::String(lot), _) => format!("1T{lot}"),
                (_, Value::String(serial)) => format!("S{serial}"),
                _ => part.to_owned(),
            };
            let count = if held["serial"].is_null() { &held["quantity"] } else { &Value::Null };
            let scan = json!({ "code": code, "carton": carton, "quantity": count });
            let answer = self.pack_scan(kit, scan).await;
            assert_eq!(answer["code"], "pack.packed", "{answer}");
        }
    }

    /// Seals every carton of a kit.
    pub async fn seal(&self, kit: &str) {
        let bench = self.look(&format!("/api/kits/{kit}")).await;
        for carton in rows(&bench["cartons"]) {
            let path = format!("/api/kits/{kit}/cartons/{}/seal", carton["position"]);
            let (status, body) = self.act(Role::Warehouse, &path, json!({})).await;
            assert_eq!(status, 204, "{body}");
        }
    }

    /// Picks, packs, seals and hands over the first kit of an order; returns its number.
    pub async fn despatch(&self, order: &str) -> String {
        let kit = self.kit_of(order).await;
        let list = self.pick_list(&[&kit]).await;
        self.walk(&list).await;
        self.pack(&kit).await;
        self.seal(&kit).await;
        let path = format!("/api/kits/{kit}/hand-over");
        let (status, body) = self.act(Role::Warehouse, &path, json!({})).await;
        assert_eq!(status, 204, "{body}");
        kit
    }
}
