// HTML 5 in one file.
#include <algorithm>
#include <array>
#include <string_view>

#include <fmt/format.h>

#include "viewer/report/writers.hpp"

namespace landfall::report {
namespace {

constexpr double kMmPerPixel = 25.4 / 96;

std::string escaped(const std::string& raw) {
  std::string made;
  for (const char c : scene::clean_text(raw)) {
    switch (c) {
      case '&':
        made += "&amp;";
        break;
      case '<':
        made += "&lt;";
        break;
      case '>':
        made += "&gt;";
        break;
      case '"':
        made += "&quot;";
        break;
      case '\'':
        made += "&#39;";
        break;
      default:
        made += c;
    }
  }
  return made;
}

// A string for a style sheet: all but letters and digits as hexadecimal, so that nothing ends the style.
std::string css_string(const std::string& raw) {
  std::string made = "\"";
  for (const char c : scene::clean_text(raw)) {
    const auto byte = static_cast<unsigned char>(c);
    const bool plain = byte >= 0x80 || (byte >= '0' && byte <= '9') || (byte >= 'a' && byte <= 'z') ||
                       (byte >= 'A' && byte <= 'Z') || byte == ' ';
    if (plain) {
      made += c;
    } else {
      made += fmt::format("\\{:06x}", byte);
    }
  }
  return made + "\"";
}

std::string hex(scene::Colour c) {
  return fmt::format("#{:02x}{:02x}{:02x}", c.r, c.g, c.b);
}

std::string_view svg_class(scene::Typeface face) {
  constexpr std::array<std::string_view, 5> kClasses{"p", "b", "i", "m", "n"};
  return kClasses[static_cast<std::size_t>(face)];
}

// Pixels with at most two places, no trailing zeros.
std::string px(double value) {
  std::string text = fmt::format("{:.2f}", value);
  while (text.ends_with('0')) text.pop_back();
  if (text.ends_with('.')) text.pop_back();
  return text == "-0" ? "0" : text;
}

void add_shape(std::string& out, const scene::Shape& shape) {
  const std::string colour = hex(shape.colour);
  switch (shape.kind) {
    case scene::ShapeKind::kDisc:
      out += fmt::format("<circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"{}\"/>", px(shape.at.x), px(shape.at.y),
                         px(shape.radius), colour);
      break;
    case scene::ShapeKind::kRing:
      out += fmt::format(
          "<circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{}\"/>",
          px(shape.at.x), px(shape.at.y), px(shape.radius), colour, px(shape.width));
      break;
    case scene::ShapeKind::kLine:
    case scene::ShapeKind::kPolygon: {
      const bool line = shape.kind == scene::ShapeKind::kLine;
      out += line ? "<polyline points=\"" : "<polygon points=\"";
      for (std::size_t i = 0; i < shape.points.size(); ++i) {
        if (i > 0) out += ' ';
        out += px(shape.points[i].x) + "," + px(shape.points[i].y);
      }
      out +=
          line ? fmt::format("\" fill=\"none\" stroke=\"{}\" stroke-width=\"{}\"/>", colour, px(shape.width))
               : fmt::format("\" fill=\"{}\"/>", colour);
      break;
    }
    case scene::ShapeKind::kLabel: {
      constexpr std::array<std::string_view, 3> kAnchors{"start", "middle", "end"};
      out += fmt::format(
          "<text x=\"{}\" y=\"{}\" class=\"{}\" font-size=\"{}\" text-anchor=\"{}\" fill=\"{}\">{}</text>",
          px(shape.at.x), px(shape.at.y + shape.size * 0.365), svg_class(shape.face), px(shape.size),
          kAnchors[static_cast<std::size_t>(shape.align)], colour, escaped(shape.text));
      break;
    }
  }
}

constexpr std::string_view kStyle = R"(
:root{color:#13212b;background:#fff;font:10pt/1.35 "B612","DejaVu Sans",sans-serif}
body{margin:0 auto;padding:4mm 0}
h1{font-size:19pt;margin:0 0 1mm;line-height:1.15}
h2{font-size:11.5pt;margin:5mm 0 1.2mm;break-after:avoid}
p{margin:1.2mm 0;overflow-wrap:anywhere}
.lead{font-size:13pt;font-weight:bold;margin:2.5mm 0}
.caution{border:1.4pt solid #13212b;padding:1.2mm 2.5mm;break-inside:avoid;font-weight:bold}
.caution+.caution{margin-top:-2.6mm;border-top-width:0.4pt}
.caution svg{height:3.4mm;width:3.8mm;vertical-align:-0.5mm;margin-right:2mm}
table{border-collapse:collapse;width:100%;font-size:9pt}
thead{display:table-header-group}
caption{text-align:left;font-weight:bold;font-size:11.5pt;margin:5mm 0 1.2mm;caption-side:top}
tr{break-inside:avoid}
thead,caption{break-after:avoid}
tbody tr:first-child{break-before:avoid}
th{text-align:left;border-bottom:1.2pt solid #13212b;padding:0.8mm 2.4mm 0.8mm 0;vertical-align:bottom}
td{border-bottom:0.5pt solid #858e93;padding:0.9mm 2.4mm 0.9mm 0;vertical-align:top}
.l{overflow-wrap:anywhere;min-width:22mm}
th.f,td.f{text-align:right;white-space:nowrap}
td.m{font-family:"B612 Mono","DejaVu Sans Mono",monospace;font-size:8.5pt}
td.n{font-weight:bold;white-space:nowrap}
td.w{min-width:24mm;height:7mm}
td.x,th.x{text-align:center;white-space:nowrap}
.box{display:inline-block;width:4mm;height:4mm;line-height:4mm;text-align:center;vertical-align:middle;border:1pt solid #13212b}
.form{display:grid;grid-template-columns:1fr 1fr;gap:5mm 8mm;margin:6mm 0 3mm;break-inside:avoid}
.form span{border-bottom:0.7pt solid #13212b;min-height:6mm;display:flex;align-items:end}
figure{margin:3mm 0;break-inside:avoid;text-align:center}
svg{print-color-adjust:exact;-webkit-print-color-adjust:exact}
svg.shrink{max-width:100%;height:auto}
svg text{font-family:"B612","DejaVu Sans",sans-serif}
svg .b{font-weight:bold}
svg .i{font-style:italic}
svg .m,svg .n{font-family:"B612 Mono","DejaVu Sans Mono",monospace}
svg .n{font-weight:bold}
footer{margin-top:6mm;font-size:8pt;color:#45545d;overflow-wrap:anywhere}
@media screen{section+section{border-top:2pt solid #13212b;margin-top:10mm;padding-top:6mm}}
@media print{body{padding:0;max-width:none!important}section+section{break-before:page}footer{display:none}}
)";

// A word so long that the browser may break it anywhere.
bool has_long_word(const std::string& text) {
  constexpr int kLong = 20;
  int run = 0;
  for (const char c : text) {
    if ((static_cast<unsigned char>(c) & 0xC0U) == 0x80U) continue;
    run = c == ' ' ? 0 : run + 1;
    if (run > kLong) return true;
  }
  return false;
}

std::string cell_class(Holds holds, const std::string& text) {
  constexpr std::array<std::string_view, 6> kClasses{"", "m", "n", "f", "w", "x"};
  std::string name(kClasses[static_cast<std::size_t>(holds)]);
  if (has_long_word(text)) name += name.empty() ? "l" : " l";
  return name.empty() ? name : " class=\"" + name + "\"";
}

void add_table(std::string& out, const Table& table) {
  if (table.rows.empty()) {
    out += fmt::format("<h2>{}</h2>\n<p>{}</p>\n", escaped(table.title), escaped(table.none));
    return;
  }
  out += fmt::format("<table><caption>{}</caption>\n<thead><tr>", escaped(table.title));
  for (const Column& column : table.columns)
    out += fmt::format("<th{}>{}</th>", cell_class(column.holds, column.head), escaped(column.head));
  out += "</tr></thead>\n<tbody>\n";
  for (const auto& row : table.rows) {
    out += "<tr>";
    for (std::size_t i = 0; i < row.size(); ++i) {
      const Holds holds = table.columns[i].holds;
      out += fmt::format("<td{}>{}</td>", cell_class(holds, row[i].text),
                         holds == Holds::kTick ? fmt::format("<span class=\"box\">{}</span>",
                                                             row[i].text.empty() ? "" : "&#10003;")
                                               : escaped(row[i].text));
    }
    out += "</tr>\n";
  }
  out += "</tbody></table>\n";
}

constexpr std::string_view kTriangle =
    "<svg viewBox=\"0 0 19 17\" aria-hidden=\"true\"><path d=\"M9.5 1 18 16H1z\" fill=\"none\" "
    "stroke=\"#13212b\" stroke-width=\"1.8\"/><path d=\"M9.5 6v5M9.5 12.4v1.8\" stroke=\"#13212b\" "
    "stroke-width=\"1.8\"/></svg>";

void add_block(std::string& out, const Block& block) {
  switch (block.kind) {
    case BlockKind::kHeading:
      out += "<h2>" + escaped(block.text) + "</h2>\n";
      break;
    case BlockKind::kText:
      out += "<p>" + escaped(block.text) + "</p>\n";
      break;
    case BlockKind::kLead:
      out += "<p class=\"lead\">" + escaped(block.text) + "</p>\n";
      break;
    case BlockKind::kCaution:
      out += fmt::format("<p class=\"caution\">{}{}</p>\n", kTriangle, escaped(block.text));
      break;
    case BlockKind::kForm:
      out += "<div class=\"form\">";
      for (const std::string& field : block.fields) out += "<span>" + escaped(field) + "</span>";
      out += "</div>\n";
      break;
    case BlockKind::kTable:
      add_table(out, block.table);
      break;
    case BlockKind::kPicture:
      out += "<figure>" + svg_element(block.picture, block.text, block.true_size) + "</figure>\n";
      break;
  }
}

// RFC 4648, section 4.
std::string base64(std::string_view bytes) {
  constexpr std::string_view kDigits = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string out;
  out.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    std::uint32_t three = 0;
    const std::size_t have = std::min<std::size_t>(3, bytes.size() - i);
    for (std::size_t k = 0; k < 3; ++k)
      three = three << 8U | (k < have ? static_cast<unsigned char>(bytes[i + k]) : 0U);
    for (std::size_t k = 0; k < 4; ++k) out.push_back(k <= have ? kDigits[three >> (18 - 6 * k) & 63U] : '=');
  }
  return out;
}

void add_photo(std::string& out, const scene::Picture& picture) {
  constexpr int kQuality = 88;
  const auto bytes = photo::write_jpeg(*picture.under, kQuality);
  if (!bytes.ok()) return;  // memory ran out in the writer: the shapes are drawn all the same
  out += fmt::format("<image width=\"{}\" height=\"{}\" href=\"data:image/jpeg;base64,{}\"/>",
                     px(picture.width), px(picture.height), base64(*bytes));
}

}  // namespace

std::string svg_element(const scene::Picture& picture, const std::string& says, bool true_size) {
  std::string out = fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\"{} role=\"img\" aria-label=\"{}\" width=\"{:.3f}mm\" "
      "height=\"{:.3f}mm\" viewBox=\"0 0 {} {}\">",
      true_size ? "" : " class=\"shrink\"", escaped(says), picture.width * kMmPerPixel,
      picture.height * kMmPerPixel, px(picture.width), px(picture.height));
  if (picture.under) add_photo(out, picture);
  for (const scene::Shape& shape : picture.shapes) add_shape(out, shape);
  return out + "</svg>";
}

std::string html(const Document& document) {
  const PaperSize paper = size_of(document.paper);
  const std::string foot = footer_text(document);
  std::string out = "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n";
  out +=
      "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src data:; style-src "
      "'unsafe-inline'\">\n<meta name=\"viewport\" content=\"width=device-width\">\n";
  out += "<title>" + escaped(foot) + "</title>\n<style>";
  out += fmt::format(
      "@page{{size:{}mm {}mm;margin:{}mm {}mm {}mm;@bottom-left{{content:{};font-size:8pt}}"
      "@bottom-right{{content:counter(page) \" of \" counter(pages);font-size:8pt}}}}\n"
      "body{{max-width:{}mm}}",
      paper.width, paper.height, kTopMarginMm, kSideMarginMm, kBottomMarginMm, css_string(foot),
      paper.width - 2 * kSideMarginMm);
  out += kStyle;
  out += "</style>\n</head>\n<body>\n";
  for (const Sheet& sheet : document.sheets) {
    out += fmt::format("<section id=\"{}\">\n<h1>{}</h1>\n", escaped(sheet.key), escaped(sheet.title));
    for (const Block& block : sheet.blocks) add_block(out, block);
    out += "</section>\n";
  }
  out += "<footer>" + escaped(foot) + "</footer>\n</body>\n</html>\n";
  return out;
}

}  // namespace landfall::report
