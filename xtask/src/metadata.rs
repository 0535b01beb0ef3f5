//! What `cargo metadata` knows: packages, their targets and dependencies, and which versions were chosen.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::process::Command;

use serde::Deserialize;

use crate::failure::{Failure, Outcome};
use crate::step::cargo;

#[derive(Deserialize)]
pub struct Metadata {
    pub packages: Vec<Package>,
    pub workspace_members: BTreeSet<String>,
    pub target_directory: PathBuf,
    resolve: Resolve,
}

#[derive(Deserialize)]
pub struct Package {
    pub id: String,
    pub name: String,
    pub version: String,
    pub license: Option<String>,
    pub dependencies: Vec<Dependency>,
    pub targets: Vec<Target>,
}

#[derive(Deserialize)]
pub struct Dependency {
    pub name: String,
    /// `None` for what the crate itself uses; "dev" or "build" otherwise.
    pub kind: Option<String>,
    /// Where it stands when it is one of our own.
    pub path: Option<PathBuf>,
}

#[derive(Deserialize)]
pub struct Target {
    pub name: String,
    pub kind: Vec<String>,
    pub src_path: PathBuf,
}

#[derive(Deserialize)]
struct Resolve {
    nodes: Vec<Node>,
}

#[derive(Deserialize)]
struct Node {
    id: String,
    deps: Vec<NodeDependency>,
}

#[derive(Deserialize)]
struct NodeDependency {
    pkg: String,
    dep_kinds: Vec<Kind>,
}

#[derive(Deserialize)]
struct Kind {
    kind: Option<String>,
}

impl Metadata {
    pub fn read(root: &Path) -> Outcome<Metadata> {
        let answer = Command::new(cargo())
            .args(["metadata", "--format-version=1", "--all-features"])
            .current_dir(root)
            .output()
            .map_err(Failure::of("cargo metadata could not be run"))?;
        if !answer.status.success() {
            let said = String::from_utf8_lossy(&answer.stderr);
            return Err(Failure::new(format!("cargo metadata: {}", said.trim())));
        }
        serde_json::from_slice(&answer.stdout).map_err(Failure::of("cargo metadata"))
    }

    /// Our own crates.
    pub fn ours(&self) -> impl Iterator<Item = &Package> {
        self.packages.iter().filter(|package| self.workspace_members.contains(&package.id))
    }

    /// Everybody else's.
    pub fn theirs(&self) -> impl Iterator<Item = &Package> {
        self.packages.iter().filter(|package| !self.workspace_members.contains(&package.id))
    }

    /// Ids of all that is built into `name` or runs while it is built, itself left out, on any system.
    pub fn built_into(&self, name: &str) -> BTreeSet<&str> {
        let nodes: BTreeMap<&str, &Node> =
            self.resolve.nodes.iter().map(|node| (node.id.as_str(), node)).collect();
        let start = self.ours().find(|package| package.name == name);
        let mut open: Vec<&str> = start.iter().map(|package| package.id.as_str()).collect();
        let mut seen = BTreeSet::new();
        while let Some(node) = open.pop().and_then(|id| nodes.get(id)) {
            for dependency in &node.deps {
                let is_built =
                    dependency.dep_kinds.iter().any(|kind| kind.kind.as_deref() != Some("dev"));
                if is_built && seen.insert(dependency.pkg.as_str()) {
                    open.push(&dependency.pkg);
                }
            }
        }
        seen
    }
}
