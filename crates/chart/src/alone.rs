//! A picture as a file of its own: the day palette inside it, plain enough for any viewer.

/// The rules a picture needs without the stylesheet; day palette, no variables, since many
/// viewers of SVG files know none.
const STYLE: &str = "\
.pic{background:#fffdf8;fill:none;stroke-linecap:round;stroke-linejoin:round}\
text{fill:#1b2430;stroke:none;font:12.5px sans-serif}\
.ti{font:italic 14px serif}.tp{fill:#5d5a53}.tr{fill:#a3301d;font-weight:600}.tb{font-weight:600}\
.ts{font-size:11.5px}.tl{font-size:16px;font-weight:600}\
.halo{paint-order:stroke;stroke:#fffdf8;stroke-width:4px}\
.ink{stroke:#1b2430;stroke-width:1.5}.ink1{stroke:#1b2430;stroke-width:1}\
.ink2{stroke:#1b2430;stroke-width:2.4}.w-heavy{stroke-width:2.4}\
.hair{stroke:#d9d1c0;stroke-width:1}.hatch{stroke:#857e70;stroke-width:.9}\
.redl{stroke:#a3301d;stroke-width:1.6}.fresh{stroke:#1e5f9e}\
.f-leaf{fill:#fffdf8}.f-red{fill:#a3301d}.f-freshfull{fill:#1e5f9e}";

/// `picture` (one SVG element) as a file with its style inside.
pub(crate) fn stand_alone(picture: &str) -> String {
    let named = picture.replacen("<svg ", "<svg xmlns=\"http://www.w3.org/2000/svg\" ", 1);
    let styled = named.replacen("</desc>", &format!("</desc><style>{STYLE}</style>"), 1);
    format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{styled}\n")
}
