// The sheets of a job from the command line.
#include <doctest/doctest.h>

#include "tests/support/program.hpp"

using Bench = landfall::testing::ProgramBench;

namespace {

void begin(const Bench& bench, const char* safety = "no") {
  bench.import_sample();
  REQUIRE(bench(std::string("job new skua4 U1 --title plotter --safety-critical ") + safety).code == 0);
  REQUIRE(bench("mark 1 AB3=torn AA3=barrel Y2=torn Y3=loose AB4=torn").code == 0);
}

}  // namespace

TEST_CASE("the sheets hold the wires that the plan holds, in every format") {
  const Bench bench;
  begin(bench);
  const auto plan = bench.json("plan 1");
  const auto file = [&](const char* name) { return bench.folder.file(name).string(); };
  CHECK(bench("report 1 -o " + file("s.json")).code == 0);
  const auto sheets = nlohmann::json::parse(landfall::testing::read_file(file("s.json")));
  const auto& wires = sheets["sheets"][0]["tables"]["wires"];
  REQUIRE(wires.size() == plan["jumpers"].size());
  REQUIRE_FALSE(wires.empty());
  for (std::size_t i = 0; i < wires.size(); ++i) {
    CHECK(wires[i]["net"] == plan["jumpers"][i]["net"]);
    CHECK(wires[i]["number"] == plan["jumpers"][i]["number"]);
    const double cut = wires[i]["length_mm"].get<double>();
    const double length = plan["jumpers"][i]["length_mm"].get<double>();
    CHECK(cut >= length - 1e-9);
    CHECK(cut < length + 0.1 + 1e-9);
  }
  CHECK(sheets["sheets"][0]["tables"]["cut_list"].size() == wires.size());
  CHECK(sheets["sheets"][3]["tables"]["marks"].size() == 5);
  for (const char* name : {"s.html", "s.pdf", "s.csv"}) {
    CAPTURE(name);
    CHECK(bench(std::string("report 1 --paper letter --scale 1:1 -o ") + file(name)).code == 0);
    CHECK_FALSE(landfall::testing::read_file(file(name)).empty());
  }
  const auto one = bench.json("report 1 --sheet decision -o " + file("d.pdf"));
  CHECK(one["sheets"] == nlohmann::json::array({"decision"}));
  CHECK(one["pages"] == 1);
}

TEST_CASE("a safety-critical job has no wiring sheet, its record goes with the referral") {
  const Bench bench;
  begin(bench, "yes");
  const std::string file = bench.folder.file("s.html").string();
  const auto refused = bench("report 1 --sheet wiring -o " + file);
  CHECK(refused.code == 1);
  CHECK(refused.out.find("authorised repair") != std::string::npos);
  CHECK_FALSE(std::filesystem::exists(file));
  CHECK(bench.json("report 1 -o " + file)["sheets"] == nlohmann::json::array({"decision", "record"}));
  const std::string page = landfall::testing::read_file(file);
  CHECK(page.find("authorised repair") != std::string::npos);
  CHECK(page.find("<svg") != std::string::npos);
  CHECK(page.find("U1.AB3") != std::string::npos);
}

TEST_CASE("a wrong sheet, paper, scale, ending or job is refused in one line") {
  const Bench bench;
  begin(bench);
  const std::string file = bench.folder.file("s.html").string();
  CHECK(bench("report 1 --sheet invoice -o " + file).code == 2);
  CHECK(bench("report 1 --paper a3 -o " + file).code == 2);
  CHECK(bench("report 1 --scale 2:1 -o " + file).code == 2);
  CHECK(bench("report 1 -o " + bench.folder.file("s.doc").string()).code == 2);
  CHECK(bench("report 9 -o " + file).code == 1);
  CHECK(bench("report 1 -o " + bench.folder.file("none/s.html").string()).code == 3);
}
