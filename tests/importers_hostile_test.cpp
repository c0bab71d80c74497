// Shapes that no honest file has, for each family of formats: an error or a warning in bounded time and
// memory, never a crash. The limits stand in the manual page.
#include <chrono>
#include <cstdlib>
#include <functional>

#include <doctest/doctest.h>
#include <fmt/format.h>
#include <sys/resource.h>

#include "importers/design.hpp"
#include "netdb/model/units.hpp"
#include "tests/support/files.hpp"

using namespace landfall;

namespace {

std::string repeated(const std::string& text, std::size_t times) {
  std::string all;
  all.reserve(text.size() * times);
  for (std::size_t i = 0; i < times; ++i) all += text;
  return all;
}

// A file of each family around a name and a number that may be anything.
struct Family {
  const char* name;
  std::function<std::string(const std::string& net, const std::string& number)> with;
  std::function<std::string(std::size_t)> nested;         // so many deep
  std::function<std::string(std::size_t)> pins_of_a_net;  // so many pins on one net
};

std::string xml_netlist(const std::string& nets) {
  return "<?xml version=\"1.0\"?><export version=\"E\"><components><comp ref=\"U1\"><value>v</value></comp>"
         "</components><nets>" +
         nets + "</nets></export>";
}

std::string ipc_2581(const std::string& step) {
  return "<?xml version=\"1.0\"?><IPC-2581 revision=\"C\" xmlns=\"http://webstds.ipc.org/2581\"><Content>"
         "<FunctionMode mode=\"FULL\"/><StepRef name=\"S\"/></Content><Ecad><CadHeader "
         "units=\"MILLIMETER\"/><CadData>"
         "<Layer name=\"T\" layerFunction=\"SIGNAL\" side=\"TOP\"/><Step name=\"S\"><Package name=\"P\"/>"
         "<Component refDes=\"U1\" packageRef=\"P\" layerRef=\"T\"><Location x=\"1\" y=\"1\"/></Component>" +
         step + "</Step></CadData></Ecad></IPC-2581>";
}

std::string many(std::size_t count, const std::function<std::string(std::size_t)>& line) {
  std::string all;
  for (std::size_t i = 0; i < count; ++i) all += line(i);
  return all;
}

std::vector<Family> families() {
  std::vector<Family> all;
  all.push_back(
      {"kicad board",
       [](const std::string& net, const std::string& number) {
         return "(kicad_pcb (version 20221018) (layers (0 F.Cu signal) (31 B.Cu signal)) (net 1 \"" + net +
                "\") (footprint \"f\" (layer \"F.Cu\") (at 1 1) (fp_text reference \"U1\" (at 0 0)) (pad "
                "\"1\" "
                "smd rect (at 0 0) (size 1 1) (layers \"F.Cu\") (net 1 \"" +
                net + "\"))) (segment (start 0 0) (end " + number +
                " 1) (width 0.1) (layer \"F.Cu\") (net 1)))";
       },
       [](std::size_t n) { return "(kicad_pcb " + repeated("(a ", n); },
       [](std::size_t n) {
         return "(kicad_pcb (version 20221018) (layers (0 F.Cu signal) (31 B.Cu signal)) (net 1 \"N\") "
                "(footprint \"f\" (layer \"F.Cu\") (at 1 1) (fp_text reference \"U1\" (at 0 0))" +
                many(n,
                     [](std::size_t i) {
                       return fmt::format(
                           "(pad \"{}\" smd rect (at 0 0) (size 1 1) (layers \"F.Cu\") (net 1 \"N\"))", i);
                     }) +
                "))";
       }});
  all.push_back(
      {"kicad netlist",
       [](const std::string& net, const std::string& number) {
         return "(export (version \"E\") (components (comp (ref \"U1\") (value \"v\"))) (nets (net (code \"" +
                number + "\") (name \"" + net + "\") (node (ref \"U1\") (pin \"1\")))))";
       },
       [](std::size_t n) { return "(export " + repeated("(a ", n); },
       [](std::size_t n) {
         return "(export (version \"E\") (components (comp (ref \"U1\") (value \"v\"))) (nets (net (code "
                "\"1\") "
                "(name \"N\")" +
                many(n, [](std::size_t i) { return fmt::format("(node (ref \"U1\") (pin \"{}\"))", i); }) +
                ")))";
       }});
  all.push_back(
      {"xml netlist",
       [](const std::string& net, const std::string& number) {
         return xml_netlist("<net code=\"" + number + "\" name=\"" + net +
                            "\"><node ref=\"U1\" pin=\"1\"/></net>");
       },
       [](std::size_t n) { return "<?xml version=\"1.0\"?><export>" + repeated("<a>", n); },
       [](std::size_t n) {
         return xml_netlist(
             "<net code=\"1\" name=\"N\">" +
             many(n, [](std::size_t i) { return fmt::format("<node ref=\"U1\" pin=\"{}\"/>", i); }) +
             "</net>");
       }});
  all.push_back({"ipc-2581",
                 [](const std::string& net, const std::string& number) {
                   return ipc_2581("<LogicalNet name=\"" + net +
                                   "\"><PinRef componentRef=\"U1\" pin=\"1\"/></LogicalNet><LayerFeature "
                                   "layerRef=\"T\"><Set net=\"" +
                                   net + "\"><Pad><Location x=\"" + number +
                                   "\" y=\"1\"/><Circle diameter=\"1\"/><PinRef componentRef=\"U1\" "
                                   "pin=\"1\"/></Pad></Set></LayerFeature>");
                 },
                 [](std::size_t n) { return "<IPC-2581>" + repeated("<a>", n); },
                 [](std::size_t n) {
                   return ipc_2581("<LogicalNet name=\"N\">" +
                                   many(n,
                                        [](std::size_t i) {
                                          return fmt::format("<PinRef componentRef=\"U1\" pin=\"{}\"/>", i);
                                        }) +
                                   "</LogicalNet>");
                 }});
  all.push_back(
      {"ipc-d-356",
       [](const std::string& net, const std::string& number) {
         return "C  test\nP  UNITS CUST 0\n317" + net.substr(0, 14) +
                std::string(14 - std::min<std::size_t>(14, net.size()), ' ') + "   U1    -1          A01X+" +
                number + "Y+005000X0400Y0000R000S0\n999\n";
       },
       [](std::size_t n) { return "P  UNITS CUST 0\n" + repeated("027\n", n) + "999\n"; },
       [](std::size_t n) {
         return "P  UNITS CUST 0\n" +
                many(n,
                     [](std::size_t i) {
                       return fmt::format(
                           "327N                 U{:<5}-{:<4}       A01X+005000Y+005000X0400Y0000R000S0\n",
                           i / 10000, i % 10000);
                     }) +
                "999\n";
       }});
  all.push_back({"ball list",
                 [](const std::string& net, const std::string& number) {
                   return "Ball,Name,Bank\nA1," + net + "," + number + "\nA2,VSS,1\nB1,VDD,1\n";
                 },
                 [](std::size_t n) { return "Ball,Name\nA1," + repeated("(", n) + "\nA2,VSS\nB1,VDD\n"; },
                 [](std::size_t n) {
                   return "Pin Number,Name\n" +
                          many(n, [](std::size_t i) { return fmt::format("{},N\n", i + 1); });
                 }});
  all.push_back(
      {"bsdl",
       [](const std::string& net, const std::string& number) {
         return "entity E is generic (PHYSICAL_PIN_MAP : string := \"P\"); port (" + net +
                ": in bit); attribute PIN_MAP of E : entity is PHYSICAL_PIN_MAP; constant P : PIN_MAP_STRING "
                ":= \"" +
                net + ": " + number + "\"; end E;\n";
       },
       [](std::size_t n) { return "entity E is port (A: in bit" + repeated("(", n); },
       [](std::size_t n) {
         return "entity E is generic (PHYSICAL_PIN_MAP : string := \"P\"); port (N: in bit_vector(0 to " +
                std::to_string(n - 1) +
                ")); attribute PIN_MAP of E : entity is PHYSICAL_PIN_MAP; constant P : PIN_MAP_STRING := "
                "\"N: (" +
                many(n, [](std::size_t i) { return fmt::format("{}{}", i == 0 ? "" : ",", i + 1); }) +
                ")\"; end E;\n";
       }});
  all.push_back({"ibis",
                 [](const std::string& net, const std::string& number) {
                   return "[IBIS Ver] 3.2\n[File Name] x.ibs\n[Component] C\n[Package]\nR_pkg " + number +
                          " NA NA\n[Pin] signal_name model_name\nA1 " + net + " M\n[End]\n";
                 },
                 [](std::size_t n) { return "[IBIS Ver] 3.2\n[Component] C\n" + repeated("[Pin", n) + "\n"; },
                 [](std::size_t n) {
                   return "[IBIS Ver] 3.2\n[Component] C\n[Pin] signal_name model_name\n" +
                          many(n, [](std::size_t i) { return fmt::format("{} N M\n", i + 1); }) + "[End]\n";
                 }});
  all.push_back(
      {"kicad symbols",
       [](const std::string& net, const std::string& number) {
         return "(kicad_symbol_lib (version 20211014) (symbol \"S\" (symbol \"S_1_1\" (pin input line (at " +
                number + " 0 0) (length 1) (name \"" + net + "\") (number \"1\")))))";
       },
       [](std::size_t n) { return "(kicad_symbol_lib " + repeated("(a ", n); },
       [](std::size_t n) {
         return "(kicad_symbol_lib (version 20211014) (symbol \"S\" (symbol \"S_1_1\" " +
                many(n,
                     [](std::size_t i) {
                       return fmt::format(
                           "(pin input line (at 0 0 0) (length 1) (name \"N\") (number \"{}\"))", i);
                     }) +
                ")))";
       }});
  return all;
}

struct Outcome {
  bool read = false;
  std::string error;
  std::size_t pins = 0, longest = 0;
  double seconds = 0;
};

// What every answer must keep: one line of error, names within their bound.
Outcome outcome_of(const std::string& text) {
  const auto start = std::chrono::steady_clock::now();
  Diagnostics log;
  const auto design = importers::read_design(text, "x", log);
  Outcome out;
  out.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  out.read = design.ok();
  if (!design.ok()) {
    out.error = design.error().message;
    CHECK(out.error.find('\n') == std::string::npos);
    CHECK(out.error.size() < 2000);
    return out;
  }
  const Board& board = design->board;
  out.pins = board.pins.size();
  for (const Net& net : board.nets) out.longest = std::max(out.longest, net.name.size());
  for (const Pin& pin : board.pins) {
    out.longest = std::max({out.longest, pin.number.size(), pin.function.size()});
    CHECK((pin.net == kNone || pin.net < board.nets.size()));
  }
  CHECK(out.longest <= 1100);
  CHECK(log.entries().size() < 100'000);
  return out;
}

std::size_t peak_mb() {
  rusage use{};
  getrusage(RUSAGE_SELF, &use);
  return static_cast<std::size_t>(use.ru_maxrss) / 1024;
}

// Sanitizers and a shared machine slow all down; a hang is far beyond this.
constexpr double kLongest = 60;

}  // namespace

TEST_CASE("each family's plain file is read, so that the hostile ones below are of that family") {
  for (const Family& family : families()) {
    CAPTURE(family.name);
    const Outcome out =
        outcome_of(family.with("NET1", family.name == std::string("ipc-d-356") ? "005000" : "1"));
    CAPTURE(out.error);
    CHECK(out.read);
    CHECK(out.pins >= 1);
  }
}

TEST_CASE("nesting 100,000 deep is refused or means nothing") {
  for (const Family& family : families()) {
    CAPTURE(family.name);
    CHECK(outcome_of(family.nested(100'000)).seconds < kLongest);
  }
}

TEST_CASE("a name of 10 MB is cut or refused") {
  const std::string name(10U << 20U, 'n');
  for (const Family& family : families()) {
    CAPTURE(family.name);
    CHECK(outcome_of(family.with(name, "1")).seconds < kLongest);
  }
}

TEST_CASE("many pins on one net: time and memory grow no faster than the file") {
  // A tenth of a million, so that the test stays short; LANDFALL_PINS=1000000 asks for more.
  const char* asked = std::getenv("LANDFALL_PINS");  // NOLINT(concurrency-mt-unsafe): no thread yet
  const std::size_t pins =
      static_cast<std::size_t>(parse_integer(asked == nullptr ? "" : asked).value_or(100'000));
  for (const Family& family : families()) {
    CAPTURE(family.name);
    const double small = outcome_of(family.pins_of_a_net(pins / 10)).seconds;
    const std::string text = family.pins_of_a_net(pins);
    const std::size_t before = peak_mb();
    const Outcome large = outcome_of(text);
    CAPTURE(large.error);
    if (asked != nullptr)
      MESSAGE(family.name, ": ", large.pins, " pins, ", text.size() >> 20U, " MB, ", large.seconds,
              " s, peak ", peak_mb(), " MB");
    // Ten times the pins: ten times the time if linear, a hundred if square.
    CHECK(large.seconds < 40 * small + 1);
    CHECK(peak_mb() - before < 200 + 60 * (text.size() >> 20U));
    CHECK(large.seconds < kLongest);
  }
}

TEST_CASE("numbers beyond range, and words that are numbers elsewhere, are no numbers here") {
  for (const Family& family : families()) {
    for (const char* number :
         {"nan", "inf", "-inf", "1e999", "99999999999999999999999999", "-99999999999999999999", "0x10", "1,5",
          "", "--1", "1.2.3", "9223372036854775807", "-9223372036854775808"}) {
      CAPTURE(family.name);
      CAPTURE(number);
      outcome_of(family.with("NET1", number));
    }
  }
}

TEST_CASE("everything twice: the first stands, and no pin comes out twice") {
  for (const Family& family : families()) {
    const std::string own = family.with("NET1", family.name == std::string("ipc-d-356") ? "005000" : "1");
    CAPTURE(family.name);
    const std::size_t once = outcome_of(own).pins;
    const Outcome twice = outcome_of(own + own);
    if (twice.read) CHECK(twice.pins <= 2 * once);
  }
}

TEST_CASE("entities are not expanded: neither a file's own nor one that multiplies") {
  std::string entities = "<!DOCTYPE e [<!ENTITY a \"aaaaaaaaaa\">";
  for (char c = 'b'; c <= 'j'; ++c)
    entities +=
        fmt::format("<!ENTITY {} \"{}\">", c, repeated(fmt::format("&{};", static_cast<char>(c - 1)), 10));
  entities += "<!ENTITY f SYSTEM \"file:///etc/passwd\">]>";
  for (const std::string& body :
       {xml_netlist("<net code=\"1\" name=\"&j;&f;\"><node ref=\"U1\" pin=\"1\"/></net>"),
        ipc_2581("<LogicalNet name=\"&j;&f;\"><PinRef componentRef=\"U1\" pin=\"1\"/></LogicalNet>")}) {
    std::string text = body;
    text.insert(text.find("?>") + 2, entities);
    const Outcome out = outcome_of(text);
    CHECK(out.longest < 20);
    CHECK(out.error.find("root:") == std::string::npos);
  }
}

TEST_CASE("encodings: invalid UTF-8, a BOM, NUL bytes, CR only, and nothing but blanks") {
  for (const Family& family : families()) {
    CAPTURE(family.name);
    const std::string plain = family.with("NET1", family.name == std::string("ipc-d-356") ? "005000" : "1");
    const Outcome good = outcome_of(plain);
    for (const char* bytes : {"\xFF\xFE\xFA", "\xC3", "\xED\xA0\x80", "\xF4\x90\x80\x80", "\xC0\xAF"})
      outcome_of(family.with(bytes, "1"));
    CHECK(outcome_of("\xEF\xBB\xBF" + plain).pins == good.pins);
    std::string nul = family.with("NE_T1", "1");
    nul[nul.find("NE_T1") + 2] = '\0';
    outcome_of(nul);
    outcome_of(plain + std::string(1000, '\0'));
    std::string cr = plain;
    for (char& c : cr) c = c == '\n' ? '\r' : c;
    CHECK(outcome_of(cr).pins == good.pins);
    outcome_of(std::string(1000, ' ') + plain);
  }
  for (const char* text : {" ", "\n\n\n", "\r\r", "\xEF\xBB\xBF", "\xFF\xFE", "<", "(", "[", "<?xml?>", "\""})
    CHECK_FALSE(outcome_of(text).read);
}
