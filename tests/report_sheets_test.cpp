// The sheets as people and machines read them: the text of a small job, nothing from a file that a browser or
// a spreadsheet would run, pages that break where a reader expects.
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <regex>
#include <set>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>

#include "netdb/packages/packages.hpp"
#include "tests/support/files.hpp"
#include "tests/support/made_board.hpp"
#include "viewer/report/faces.hpp"
#include "viewer/report/layout.hpp"
#include "viewer/report/sheets.hpp"
#include "viewer/report/writers.hpp"

using namespace landfall;
using report::SheetKind;

namespace {

const std::vector<SheetKind> kAll{SheetKind::kWiring, SheetKind::kMeasuring, SheetKind::kDecision,
                                  SheetKind::kRecord};

// A job on U1's 4 x 4 balls; answer, plan and verdict are written by hand.
struct MadeJob {
  explicit MadeJob(const std::string& net = "RAM_DQ0", const std::string& title = "no start") {
    testing::MadeBoard made;
    made.ball("A2", made.net(net));
    made.ball("B3", made.net("GND"));
    made.part("R7", 2, 6, 0);
    made.pin(1, 1, made.net(net));
    use(std::move(made.board), title);
  }
  void use(Board board, const std::string& title) {
    store::BoardInfo info;
    info.name = "made";
    answer.board = std::make_shared<app::OpenBoard>(info, std::move(board), std::vector<NameRule>{});
    answer.job.id = 3;
    answer.job.title = title;
    answer.job.lifted = {"U1"};
    answer.job.created = "2026-11-20T09:15:00Z";
    answer.job.kept = "2026-11-25T16:02:10Z";
    answer.job.safety_critical = SafetyAnswer::kNo;
    answer.assessment.bound = false;
    packages = {packages::package_of(answer.board->index(), 0)};
    plan.wire = "0.1 mm";
    settings.date = "2026-11-26T09:30:00Z";
  }
  Index pin(const std::string& ball) const { return answer.board->index().pin(0, ball); }

  void mark(const std::string& ball, MarkKind kind, rework::Need need, const std::string& note = "") {
    Mark made;
    made.part = "U1";
    made.ball = ball;
    made.kind = kind;
    made.note = note;
    answer.job.marks.push_back(made);
    if (kind != MarkKind::kSound)
      answer.assessment.sites.push_back({pin(ball), kind, need, "because " + ball});
  }
  void add_wire(const std::string& ball, const std::string& to, Nm length) {
    rework::PlannedWire wire;
    wire.jumper.net = answer.board->board().pins[pin(ball)].net;
    wire.jumper.from.kind = rework::LandingKind::kSite;
    wire.jumper.from.pin = pin(ball);
    const auto lands = answer.board->index().lands_of_pin(pin(ball));
    if (!lands.empty()) wire.jumper.from.at = answer.board->board().lands[lands[0]].at;
    wire.number = static_cast<int>(plan.wires.size()) + 1;
    wire.wire = "0.1 mm";
    wire.from = "U1." + ball;
    wire.to = to;
    wire.route = {wire.jumper.from.at, wire.jumper.from.at + Point{testing::mm(9), 0}};
    wire.length = length;
    wire.word = rework::physics::Word::kRisky;
    wire.interface = "DDR3-1600";
    wire.judgement.ohm = 0.0123;
    wire.judgement.delay_ps = 61.4;
    wire.judgement.share = 0.0982;
    wire.judgement.why = "9.8 % of the unit interval";
    wire.procedure = {"6.2.1", "BGA jumper, circuit track", "Expert", "Medium"};
    wire.beware = {"U1.A1 (no net)"};
    wire.before = "open";
    wire.after = "below 1 ohm";
    plan.wires.push_back(wire);
  }
  void add_rebuild(const std::string& ball) {
    rework::PlannedRebuild rebuild;
    rebuild.rebuild.pin = pin(ball);
    rebuild.rebuild.conductors = 2;
    rebuild.rebuild.why = "two conductors end at its rim";
    rebuild.number = 1;
    rebuild.at = "U1." + ball;
    rebuild.net = "GND";
    rebuild.procedure = {"4.7.3", "BGA pad, film adhesive", "Advanced", "High"};
    rebuild.before = "open";
    rebuild.after = "below 1 ohm to both";
    plan.rebuilds.push_back(rebuild);
  }
  void give_verdict() {
    rework::verdict::VerdictCase figures;
    figures.shop = rework::verdict::default_figures();
    figures.shop.price = 300;
    figures.repair.groups = {{rework::verdict::ChanceKind::kVia, 1, false, false}};
    auto given = rework::verdict::give_verdict(figures);
    REQUIRE(given.ok());
    verdict = std::move(given).value();
  }
  report::Document document(const std::vector<SheetKind>& kinds = kAll) const {
    return report::make_document({answer, plan, verdict, packages, settings}, kinds);
  }

  app::JobAnswer answer;
  rework::Plan plan;
  std::optional<rework::verdict::Verdict> verdict;
  std::vector<Package> packages;
  report::SheetSettings settings;
};

MadeJob small_job(const std::string& net = "RAM_DQ0", const std::string& title = "no start",
                  const std::string& note = "mask burnt") {
  MadeJob job(net, title);
  job.mark("A2", MarkKind::kTorn, rework::Need::kWire, note);
  job.mark("B3", MarkKind::kMissing, rework::Need::kRebuild);
  job.mark("C1", MarkKind::kSound, rework::Need::kNone);
  job.answer.assessment.sound = 1;
  job.answer.assessment.not_inspected = 13;
  job.answer.assessment.wires = 1;
  job.answer.assessment.rebuilds = 1;
  Fact fact;
  fact.kind = FactKind::kOpen;
  fact.a = "U1.A2";
  fact.b = "R7.1";
  fact.created = "2026-11-21T10:00:00Z";
  job.answer.job.facts = {fact};
  job.add_rebuild("B3");
  job.add_wire("A2", "R7.1", 12'410'000);
  job.give_verdict();
  return job;
}

// One board of so many balls, each of them marked, with a wire from every `wired`-th.
MadeJob big_job(int rows, int columns, std::size_t wired) {
  MadeJob job;
  job.use(*packages::bare_board(rows, columns, 500'000), "many");
  std::size_t n = 0;
  for (const PackageSite& site : std::vector<PackageSite>(job.packages[0].sites)) {
    job.mark(site.name, MarkKind::kTorn, rework::Need::kWire);
    if (wired > 0 && n++ % wired == 0) job.add_wire(site.name, "via at 31.20, -14.05", 20'000'000);
  }
  return job;
}

std::string run(const std::string& command) {
  std::string out;
  FILE* pipe = popen((command + " 2>/dev/null").c_str(), "r");  // NOLINT(cert-env33-c): the tools are outside
  REQUIRE(pipe != nullptr);
  std::array<char, 4096> buffer{};
  for (std::size_t n = 0; (n = fread(buffer.data(), 1, buffer.size(), pipe)) > 0;)
    out.append(buffer.data(), n);
  pclose(pipe);
  return out;
}

bool have(const std::string& tool) {
  if (!run("command -v " + tool).empty()) return true;
  MESSAGE("SKIPPED: " << tool << " is not installed");
  return false;
}

int page_count(const std::string& bytes) {
  testing::ScratchFolder folder;
  const auto file = folder.file("sheet.pdf");
  std::ofstream(file, std::ios::binary) << bytes;
  const std::string info = run("pdfinfo " + file.string());
  std::smatch found;
  REQUIRE(std::regex_search(info, found, std::regex("Pages: +([0-9]+)")));
  return std::stoi(found[1]);
}

// RFC 4180 read back: records of fields. An empty line is a record of one empty field.
std::vector<std::vector<std::string>> read_csv(const std::string& text) {
  std::vector<std::vector<std::string>> records(1, std::vector<std::string>(1));
  bool quoted = false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    std::string& field = records.back().back();
    const char c = text[i];
    if (quoted) {
      if (c != '"') {
        field += c;
      } else if (i + 1 < text.size() && text[i + 1] == '"') {
        field += text[++i];
      } else {
        quoted = false;
      }
    } else if (c == '"') {
      REQUIRE(field.empty());
      quoted = true;
    } else if (c == ',') {
      records.back().emplace_back();
    } else if (c == '\r') {
      REQUIRE(text.at(i + 1) == '\n');
      ++i;
      records.emplace_back(1);
    } else {
      REQUIRE(c != '\n');
      field += c;
    }
  }
  CHECK_FALSE(quoted);
  records.pop_back();
  return records;
}

const std::string kHostile =
    "<script>alert(1)</script>&amp;\"'><img src=x onerror=\"y\"> \u03A9\u0416 a,b;\x01\xFF";
const std::string kHostileClean =
    "<script>alert(1)</script>&amp;\"'><img src=x onerror=\"y\"> \u03A9\u0416 a,b; ?";

bool says(const std::string& text, const std::string& part) {
  return text.find(part) != std::string::npos;
}

}  // namespace

TEST_CASE("the four sheets of a small job, word for word") {
  const std::string text = report::plain_text(small_job().document());
  const auto golden = testing::data_file("report/small.txt");
  if (std::getenv("LANDFALL_BLESS") != nullptr) std::ofstream(golden, std::ios::binary) << text;
  CHECK(text == testing::read_file(golden));
}

TEST_CASE("a wire is never cut short: lengths on the sheet round up to the next tenth of a millimetre") {
  MadeJob job = small_job();
  job.plan.wires[0].length = 12'400'001;
  job.add_wire("A2", "TP1", 3'000'000);
  const std::string text = report::plain_text(job.document({SheetKind::kWiring}));
  CHECK(says(text, "12.5 | 0.1 mm | 1 | U1.A2 | R7.1"));
  CHECK(says(text, "3.0 | 0.1 mm | 2 | U1.A2 | TP1"));
  CHECK(says(text, "15.5\u00A0mm in all"));
}

TEST_CASE("HTML holds nothing but our own tags whatever names, titles and notes say, and loads nothing") {
  const MadeJob job = small_job(kHostile, "</title></style>" + kHostile, kHostile);
  const std::string page = report::html(job.document());
  CHECK_FALSE(says(page, "<script"));
  CHECK_FALSE(says(page, "<img"));
  CHECK(says(page, "&lt;script&gt;alert(1)&lt;/script&gt;&amp;amp;&quot;&#39;&gt;&lt;img src=x"));
  CHECK(says(page, "\u03A9\u0416"));
  const std::set<std::string> known{"!DOCTYPE", "html", "head",     "meta",   "title", "style",   "body",
                                    "section",  "h1",   "h2",       "p",      "svg",   "path",    "polygon",
                                    "circle",   "text", "polyline", "figure", "table", "caption", "thead",
                                    "tbody",    "tr",   "th",       "td",     "span",  "div",     "footer"};
  const std::regex tag("<(/?)([^ >/]*)");
  std::vector<std::string> open;
  for (auto it = std::sregex_iterator(page.begin(), page.end(), tag); it != std::sregex_iterator(); ++it)
    CHECK_MESSAGE(known.count((*it)[2]) == 1, (*it)[0]);
  for (const char* outside : {"http://", "https://", "url(", "@import", "src=\"", "href=", "javascript:"}) {
    CAPTURE(outside);
    std::string rest = page;
    const std::string space = "xmlns=\"http://www.w3.org/2000/svg\"";
    for (std::size_t at = 0; (at = rest.find(space)) != std::string::npos;) rest.erase(at, space.size());
    CHECK_FALSE(says(rest, outside));
  }
  // One style element, which the title cannot end.
  CHECK(page.find("</style>") == page.rfind("</style>"));
  CHECK(says(page, "default-src 'none'"));
}

TEST_CASE("CSV reads back as RFC 4180: every record as wide as its head, every name as it was") {
  const MadeJob job = small_job(kHostile, "t", "=HYPERLINK(\"x\")\nsecond line");
  const auto records = read_csv(report::csv(job.document()));
  std::size_t tables = 0;
  bool named = false;
  bool noted = false;
  for (std::size_t i = 0; i < records.size();) {
    REQUIRE(records[i].size() == 2);
    const std::size_t wide = records.at(i + 1).size();
    ++tables;
    for (i += 2; records.at(i) != std::vector<std::string>{""}; ++i) {
      CHECK(records[i].size() == wide);
      for (const std::string& field : records[i]) {
        named = named || field == kHostileClean;
        noted = noted || field == "'=HYPERLINK(\"x\") second line";
      }
    }
    ++i;
  }
  CHECK(named);
  CHECK(noted);
  CHECK(tables >= 10);
}

TEST_CASE("supply names that begin with a sign stay as they are in CSV, what a spreadsheet runs does not") {
  const auto field = [](const std::string& net) {
    const auto records = read_csv(report::csv(small_job(net).document({SheetKind::kWiring})));
    for (const auto& record : records) {
      if (record.size() == 7 && record[0] == "1" && record[1] == "U1.A2") return record[3];
    }
    return std::string("no wire");
  };
  CHECK(field("+3V3") == "+3V3");
  CHECK(field("-12V") == "-12V");
  CHECK(field("@SUM(A1)") == "'@SUM(A1)");
  CHECK(field("+cmd|' /C x'!A0") == "'+cmd|' /C x'!A0");
  CHECK(field("-1+cmd(x)") == "'-1+cmd(x)");
}

TEST_CASE("JSON tells the same: numbers as numbers, names as they are, empty as null") {
  const MadeJob job = small_job(kHostile);
  const auto all = nlohmann::json::parse(report::json(job.document()));
  CHECK(all["job"] == 3);
  REQUIRE(all["sheets"].size() == 4);
  const auto& wire = all["sheets"][0]["tables"]["wires"][0];
  CHECK(wire["length_mm"] == 12.5);
  CHECK(wire["number"] == 1);
  CHECK(wire["from"] == "U1.A2");
  CHECK_FALSE(wire.contains("done"));  // a box to tick is no data
  CHECK(all["sheets"][0]["cautions"].size() >= 5);
  CHECK(all["sheets"][3]["tables"]["marks"].size() == 2);
  CHECK(all["sheets"][3]["tables"]["facts"][0]["name"].is_null());
}

TEST_CASE("a safety-critical job gets what was lost and the referral, no plan and no verdict: TRADE T45") {
  MadeJob job = small_job();
  job.answer.job.safety_critical = SafetyAnswer::kYes;
  const report::Document document = job.document();
  REQUIRE(document.sheets.size() == 2);
  CHECK(document.sheets[0].title == "Referral");
  const std::string text = report::plain_text(document);
  CHECK(says(text, std::string(rework::verdict::kSafetyReferral)));
  CHECK(says(text, "U1.A2 | torn"));
  for (const char* none : {"R7.1 | RAM", "wire", "rebuild", "chance", "margin", "price", "because A2"}) {
    CAPTURE(none);
    CHECK_FALSE(says(text, none));
  }
  CHECK_FALSE(says(report::csv(document), "cut_list"));
  CHECK(job.document({SheetKind::kWiring, SheetKind::kMeasuring}).sheets.empty());
}

TEST_CASE("where nobody has asked whether it is safety-critical every sheet says so") {
  MadeJob job = small_job();
  job.answer.job.safety_critical = SafetyAnswer::kNotAsked;
  for (const SheetKind kind : kAll) {
    CAPTURE(word(kind));
    CHECK(says(report::plain_text(job.document({kind})), "Nobody has said yet"));
  }
}

TEST_CASE("the customer's page does not show what an option brings the shop") {
  const MadeJob job = small_job();
  const std::string text = report::plain_text(job.document({SheetKind::kDecision}));
  CHECK(says(text, "repair | 300 | "));
  for (const char* inside : {"margin", "labour", "consumables", "board.is-shops", "swap.board"}) {
    CAPTURE(inside);
    CHECK_FALSE(says(text, inside));
  }
  CHECK(says(report::plain_text(job.document({SheetKind::kRecord})), "margin"));
}

TEST_CASE("no marks, no wires, no verdict: each sheet says so and is one page") {
  const MadeJob job;
  for (const SheetKind kind : kAll) {
    CAPTURE(word(kind));
    CHECK(report::lay_out(job.document({kind})).size() == 1);
  }
  const std::string text = report::plain_text(job.document());
  CHECK(says(text, "0\u00A0wires, 0\u00A0rebuilds"));
  CHECK(says(text, "No marks yet."));
  CHECK(says(text, "Nothing to measure"));
  CHECK(says(text, "No prices were worked out"));
}

TEST_CASE("2,000 marks and 500 wires: all are there, nothing leaves the paper, the decision is one page") {
  MadeJob job = big_job(50, 40, 4);
  job.answer.job.title = std::string(300, 'W') + " " + std::string(300, 'x');
  job.give_verdict();
  const report::Document document = job.document();
  REQUIRE(job.answer.job.marks.size() == 2000);
  const auto all = nlohmann::json::parse(report::json(document));
  CHECK(all["sheets"][3]["tables"]["marks"].size() == 2000);
  CHECK(all["sheets"][0]["tables"]["wires"].size() == 500);
  for (const auto paper : {report::Paper::kA4, report::Paper::kLetter}) {
    report::Document on = document;
    on.paper = paper;
    const auto size = report::page_points(paper);
    std::string outside;
    for (const report::Page& page : report::lay_out(on)) {
      for (const scene::Shape& shape : page.shapes) {
        if (shape.kind != scene::ShapeKind::kLabel) continue;
        const double wide = report::width_of(shape.text, shape.size, shape.face);
        double left = shape.at.x;
        if (shape.align == scene::Align::kMiddle) left -= wide / 2;
        if (shape.align == scene::Align::kRight) left -= wide;
        if (left < 20 || left + wide > size.width - 20 || shape.at.y < 20 || shape.at.y > size.height - 20)
          outside += shape.text + "; ";
      }
    }
    CHECK(outside == "");
  }
  CHECK(report::lay_out(job.document({SheetKind::kDecision})).size() == 1);
}

TEST_CASE("table heads are repeated, no title stands alone at a page's foot, every row is there once") {
  // The table is pushed down the page step by step, so that its title meets the foot at every height.
  for (int before = 0; before < 60; ++before) {
    report::Document document;
    report::Sheet sheet;
    sheet.title = "T";
    for (int i = 0; i < before; ++i) {
      report::Block block;
      block.text = "line";
      sheet.blocks.push_back(block);
    }
    report::Block block;
    block.kind = report::BlockKind::kTable;
    block.table.title = "The rows";
    block.table.columns = {{"a", "headA", report::Holds::kText}, {"b", "headB", report::Holds::kText}};
    for (int i = 0; i < 120; ++i)
      block.table.rows.push_back(
          {{"row" + std::to_string(i), {}}, {std::string(i % 7 == 0 ? 900 : 4, 'y'), {}}});
    sheet.blocks.push_back(block);
    document.sheets.push_back(sheet);
    std::multiset<std::string> rows;
    for (const report::Page& page : report::lay_out(document)) {
      double title = -1, head = -1, first = 1e9;
      bool any_row = false;
      for (const scene::Shape& shape : page.shapes) {
        if (shape.kind != scene::ShapeKind::kLabel) continue;
        if (shape.text == "The rows") title = shape.at.y;
        if (shape.text == "headA") head = shape.at.y;
        if (!shape.text.starts_with("row")) continue;
        any_row = true;
        rows.insert(shape.text);
        first = std::min(first, shape.at.y);
      }
      CAPTURE(before);
      if (title >= 0) CHECK(any_row);
      if (any_row) CHECK((head >= 0 && head < first));
      if (title >= 0) CHECK(title < head);
    }
    CHECK(rows.size() == 120);
    CHECK(std::set<std::string>(rows.begin(), rows.end()).size() == 120);
  }
}

TEST_CASE("a row that is longer than a page goes on over the next ones, with the head on each") {
  report::Document document;
  report::Block block;
  block.kind = report::BlockKind::kTable;
  block.table.title = "Long";
  block.table.columns = {{"a", "headA", report::Holds::kText}};
  std::string text;
  for (int i = 0; i < 4000; ++i) text += "word" + std::to_string(i) + " ";
  block.table.rows.push_back({{text, {}}});
  document.sheets.push_back({"x", "T", {block}});
  const auto pages = report::lay_out(document);
  CHECK(pages.size() >= 3);
  std::string all;
  for (const report::Page& page : pages) {
    bool head = false;
    for (const scene::Shape& shape : page.shapes) {
      head = head || shape.text == "headA";
      if (shape.text.find("word") != std::string::npos) all += shape.text + " ";
      CHECK(shape.at.y < report::page_points(report::Paper::kA4).height);
    }
    CHECK(head);
  }
  CHECK(all == text);
}

TEST_CASE("lines are no wider than asked, lose no letter, and break a long name after its own seams") {
  const std::string name = "/cpu/ddr3-b/RAM1_ADDRESS_AND_COMMAND_LINE_0001";
  for (const double width : {20.0, 50.0, 90.0, 200.0}) {
    std::string joined;
    for (const std::string& line : report::wrapped(name, width, 9, scene::Typeface::kMono)) {
      CHECK(report::width_of(line, 9, scene::Typeface::kMono) <= width);
      joined += line;
    }
    CHECK(joined == name);
  }
  CHECK(report::wrapped(name, 90, 9, scene::Typeface::kMono)[0].find_last_of("_/-") ==
        report::wrapped(name, 90, 9, scene::Typeface::kMono)[0].size() - 1);
  CHECK(report::wrapped("", 50, 9, scene::Typeface::kPlain) == std::vector<std::string>{""});
  CHECK(report::wrapped("W", 1, 9, scene::Typeface::kPlain) == std::vector<std::string>{"W"});
}

TEST_CASE("1:1 is 1:1: balls 0.8 mm apart are 0.8 mm apart on paper, in HTML and PDF") {
  MadeJob job;
  job.settings.scale_1_to_1 = true;
  const report::Document document = job.document({SheetKind::kRecord});
  const report::Block* map = nullptr;
  for (const report::Block& block : document.sheets[0].blocks) {
    if (block.true_size) map = &block;
  }
  REQUIRE(map != nullptr);
  const auto step = [](const std::vector<scene::Shape>& shapes) {
    std::set<double> columns;
    for (const scene::Shape& shape : shapes) {
      if (shape.kind == scene::ShapeKind::kRing && shape.radius < 2)
        columns.insert(std::round(shape.at.x * 1e4) / 1e4);
    }
    REQUIRE(columns.size() == 4);
    return (*columns.rbegin() - *columns.begin()) / 3;
  };
  CHECK(step(map->picture.shapes) * 25.4 / 96 == doctest::Approx(0.8).epsilon(0.001));
  // The SVG's unit is a pixel of 1/96 inch: its width in mm over its width in units says so.
  const std::string svg = report::svg_element(map->picture, "", true);
  std::smatch found;
  REQUIRE(std::regex_search(svg, found, std::regex("width=\"([0-9.]+)mm\".*viewBox=\"0 0 ([0-9.]+) ")));
  CHECK(std::stod(found[1]) / std::stod(found[2]) == doctest::Approx(25.4 / 96).epsilon(0.0001));
  CHECK_FALSE(says(svg, "class=\"shrink\""));
  // On the laid out page in points; the other map's rings are larger.
  std::vector<scene::Shape> shapes;
  for (const report::Page& page : report::lay_out(document)) {
    for (const scene::Shape& shape : page.shapes) {
      if (shape.radius < 1.2) shapes.push_back(shape);
    }
  }
  CHECK(step(shapes) * 25.4 / 72 == doctest::Approx(0.8).epsilon(0.001));
}

TEST_CASE("in true size what does not fit the paper, or whose size nobody knows, is said and not drawn") {
  MadeJob job = big_job(50, 40, 0);
  job.settings.scale_1_to_1 = true;
  job.packages[0].from_places = true;
  CHECK(says(report::plain_text(job.document({SheetKind::kRecord})), "in true size]"));
  for (PackageSite& site : job.packages[0].sites) site.place.x *= 20;
  CHECK(says(report::plain_text(job.document({SheetKind::kRecord})), "does not fit on this paper"));
  job.packages[0].from_places = false;
  CHECK(says(report::plain_text(job.document({SheetKind::kRecord})), "only its names are known"));
}

TEST_CASE("a PDF has the pages that it says, numbers them, and its Greek and Cyrillic can be searched") {
  if (!have("pdfinfo") || !have("pdftotext")) return;
  MadeJob job = small_job("RAM_\u03A9\u0416", "\u041F\u043B\u0430\u0442\u0430");
  for (const auto paper : {report::Paper::kA4, report::Paper::kLetter}) {
    job.settings.paper = paper;
    auto made = report::pdf(job.document());
    REQUIRE(made.ok());
    CHECK(made->pages >= 4);
    CHECK(page_count(made->bytes) == made->pages);
    testing::ScratchFolder folder;
    const auto file = folder.file("sheet.pdf");
    std::ofstream(file, std::ios::binary) << made->bytes;
    const std::string text = run("pdftotext -layout " + file.string() + " -");
    CHECK(says(text, "1 of " + std::to_string(made->pages)));
    CHECK(says(text, std::to_string(made->pages) + " of " + std::to_string(made->pages)));
    CHECK(says(text, "\u0416"));
    CHECK(says(text, "\u041F\u043B\u0430\u0442\u0430"));
    const std::string info = run("pdfinfo " + file.string());
    CHECK(says(info, paper == report::Paper::kA4 ? "595.2" : "612 x 792"));
    CHECK(report::pdf(job.document())->bytes == made->bytes);
  }
}

TEST_CASE("the ending chooses the format, another one, and a folder that is not there, are refused") {
  const report::Document document = small_job().document();
  testing::ScratchFolder folder;
  for (const auto& [ending, start] : std::vector<std::pair<std::string, std::string>>{
           {"html", "<!DOCTYPE html>"}, {"pdf", "%PDF"}, {"csv", "wiring,"}, {"json", "{"}}) {
    const auto file = folder.file("s." + ending);
    REQUIRE(report::write_document(document, file).ok());
    CHECK(testing::read_file(file).starts_with(start));
  }
  CHECK(report::write_document(document, folder.file("s.txt")).error().code == ErrorCode::kUsage);
  CHECK(report::write_document(document, folder.file("no/such/s.html")).error().code == ErrorCode::kInput);
}

TEST_CASE(
    "the record asks the intake's questions in full and says what stands against work, for a referral too") {
  MadeJob job = small_job();
  const std::vector<IntakeAnswer> intake{{"battery", "no"}, {"capacitors", "yes"}, {"mains", "no"}};
  for (const SafetyAnswer safety : {SafetyAnswer::kNo, SafetyAnswer::kYes}) {
    job.answer.job.safety_critical = safety;
    report::SheetInput input{job.answer, job.plan, job.verdict, job.packages, job.settings};
    input.intake = intake;
    const std::string text = report::plain_text(report::make_document(input, {SheetKind::kRecord}));
    CHECK(says(text, "Is the battery out? | no"));  // 'battery: no' alone may be read either way
    CHECK(says(text, "! The battery is in: take it out"));
  }
}

TEST_CASE("a decision without a chance has no word on chances, a reading without a measure is only kept") {
  const MadeJob job;
  CHECK_FALSE(says(report::plain_text(job.document({SheetKind::kDecision})), "A chance is an estimate"));
  app::ReadingSheet readings;
  app::ReadingRow row;
  row.number = 1;
  row.net = "RAM_DQ0";
  row.point = "R7.1";
  row.before = MeterReading{1, 3, "RAM_DQ0", "R7.1", ReadingMode::kDiode, ReadingStage::kBefore, 0.45, ""};
  readings.rows.push_back(row);
  report::SheetInput input{job.answer, job.plan, job.verdict, job.packages, job.settings};
  input.diode = &readings;
  const std::string text = report::plain_text(report::make_document(input, {SheetKind::kMeasuring}));
  CHECK(says(text, "| kept"));
  CHECK_FALSE(says(text, "nothing to compare with"));
}
