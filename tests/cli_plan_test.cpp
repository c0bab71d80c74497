// Plan, verdict, facts, outcomes, taps, check and suspects from the command line.
#include <map>
#include <set>

#include <doctest/doctest.h>

#include "tests/support/files.hpp"
#include "tests/support/program.hpp"

using Bench = landfall::testing::ProgramBench;

namespace {

// A job with a few torn lands of the sample board's processor.
void begin(const Bench& bench, const char* safety = "no") {
  bench.import_sample();
  REQUIRE(bench(std::string("job new skua4 U1 --title plotter --safety-critical ") + safety).code == 0);
  REQUIRE(bench("mark 1 AB3=torn AA3=barrel Y2=torn").code == 0);
}

}  // namespace

TEST_CASE("a finished board says nothing against itself") {
  const Bench bench;
  bench.import_sample();
  const auto check = bench.json("check skua4");
  CHECK(check["splits"].empty());
  CHECK(check["touches"].empty());
  CHECK(check["unknown"].empty());
  CHECK(check["nets"].get<int>() > 100);
}

TEST_CASE("plan and assess count the same wires, each with a way, a word and a reading") {
  const Bench bench;
  begin(bench);
  const auto assess = bench.json("assess 1");
  const auto plan = bench.json("plan 1");
  CHECK(plan["jumpers"].size() == assess["jumpers"]["count"].get<std::size_t>());
  CHECK(plan["rebuilds"].size() == assess["jumpers"]["rebuilds"].get<std::size_t>());
  REQUIRE_FALSE(plan["jumpers"].empty());
  for (const auto& wire : plan["jumpers"]) {
    CHECK(wire["length_mm"].get<double>() > 0);
    CHECK(wire["ohm"].get<double>() > 0);
    CHECK(wire["route"].size() >= 2);
    CHECK_FALSE(wire["word"].get<std::string>().empty());
    CHECK_FALSE(wire["after"].get<std::string>().empty());
  }
  CHECK(plan["escape"]["fits"].is_boolean());
  CHECK(bench("plan 1").out.find("melts again") != std::string::npos);
}

TEST_CASE("a thicker wire is another plan, a wrong setting is refused in words") {
  const Bench bench;
  begin(bench);
  CHECK(bench("settings wire.bare 0.05").code == 0);
  CHECK(bench.json("plan 1")["wire"] == "0.05 mm");
  const auto refused = bench("verdict 1 --set price.repair=cheap");
  CHECK(refused.code == 2);
  CHECK(bench("verdict 1 --set no.such=3").code == 2);
}

TEST_CASE("supplies may have a thicker wire, each stocked size says whether all fit") {
  const Bench bench;
  begin(bench);
  CHECK(bench("settings wire.supply 0.2").code == 0);
  const auto plan = bench.json("plan 1");
  CHECK(plan["wire"] == "0.10 mm, supplies 0.20 mm");
  for (const auto& wire : plan["jumpers"]) CHECK(wire["wire"] == "0.10 mm");  // signals all
  CHECK(plan["escape"]["sizes"].size() >= 5);
  const std::string text = bench("plan 1").out;
  CHECK(text.find("0.05 mm all fit") != std::string::npos);
  CHECK(text.find("supplies 0.226 mm") != std::string::npos);
}

TEST_CASE("the verdict shows every option, and what is tried is kept nowhere") {
  const Bench bench;
  begin(bench);
  const auto verdict = bench.json("verdict 1");
  CHECK(verdict["options"].size() == 5);
  double sum = 0;
  for (const auto& term : verdict["options"][0]["terms"]) sum += term["money"].get<double>();
  CHECK(sum == doctest::Approx(verdict["options"][0]["margin"].get<double>()));
  const auto dear = bench.json("verdict 1 --set price.repair=5000");
  CHECK(dear["best"] == "repair");
  CHECK(dear["options"][0]["margin"].get<double>() > verdict["options"][0]["margin"].get<double>());
  CHECK(bench.json("verdict 1")["options"][0]["margin"] == verdict["options"][0]["margin"]);
}

TEST_CASE("outcomes move the chance, and the plan goes around a wire that failed") {
  const Bench bench;
  begin(bench);
  const auto before = bench.json("plan 1");
  const auto& wire = before["jumpers"].back();
  const std::string number = std::to_string(wire["number"].get<int>());
  const double chance = bench.json("verdict 1")["options"][0]["chance"]["mean"].get<double>();
  CHECK(bench("outcome 1 " + number + " failed --note 'lifted off'").code == 0);
  CHECK(bench.json("outcome 1")["outcomes"].size() == 1);
  const auto after = bench.json("plan 1");
  for (const auto& now : after["jumpers"]) {
    const bool same = now["from"] == wire["from"] && now["landing"]["x_mm"] == wire["landing"]["x_mm"] &&
                      now["landing"]["y_mm"] == wire["landing"]["y_mm"];
    CHECK_FALSE(same);
  }
  CHECK(bench.json("verdict 1")["options"][0]["chance"]["mean"].get<double>() != doctest::Approx(chance));
  CHECK(bench("outcome 1 99 worked").code == 1);
  REQUIRE(after["failed"].size() == 1);
  CHECK(after["failed"][0]["number"] == wire["number"]);
}

TEST_CASE("numbers stay where they are after any wire failed, and every try is kept and counted") {
  const Bench bench;
  begin(bench);
  const auto before = bench.json("plan 1")["jumpers"];
  REQUIRE(before.size() >= 2);
  // The first one fails: it goes elsewhere or nowhere, the others keep their numbers.
  const int number = before[0]["number"].get<int>();
  CHECK(bench("outcome 1 " + std::to_string(number) + " failed").code == 0);
  const auto now = bench.json("plan 1")["jumpers"];
  for (const auto& wire : now) {
    for (const auto& old : before) {
      if (wire["from"] == old["from"]) CHECK(wire["number"] == old["number"]);
      if (wire["from"] != old["from"]) CHECK(wire["number"] != old["number"]);
    }
  }
  // A second piece fails first and works then: two trials, and the last one holds.
  const std::string second = std::to_string(before[1]["number"].get<int>());
  const auto cases = [&](const std::string& what) {
    int sum = 0;
    const auto verdict = bench.json("verdict 1");
    for (const auto& chance : verdict["chances"]) sum += chance[what].get<int>();
    return sum;
  };
  const int worked = cases("worked");
  const int failed = cases("failed");
  CHECK(bench("outcome 1 job failed").code == 0);
  CHECK(bench("outcome 1 job worked").code == 0);
  CHECK(cases("worked") == worked + 1);
  CHECK(cases("failed") == failed + 1);
  CHECK(bench("outcome 1 job worked").code == 0);  // the same word again is no new trial
  CHECK(cases("worked") == worked + 1);
  CHECK(bench.json("outcome 1")["outcomes"].size() == 4);
  CHECK(bench("outcome 1 " + second + " worked").code == 0);
  CHECK(bench.json("plan 1")["failed"].size() == 1);
}

TEST_CASE("what is done is behind: plan and verdict say so, and 'undone' takes it back") {
  const Bench bench;
  begin(bench);
  const auto before = bench.json("verdict 1");
  const std::string number = std::to_string(bench.json("plan 1")["jumpers"].back()["number"].get<int>());
  CHECK(bench("outcome 1 " + number + " worked").code == 0);
  const auto plan = bench.json("plan 1");
  CHECK(plan["jumpers"].back()["done"] == true);
  CHECK(bench("plan 1").out.find("; 1 of ") != std::string::npos);
  const auto now = bench.json("verdict 1");
  CHECK(now["done"]["pieces"] == 1);
  CHECK(now["options"][0]["minutes"].get<double>() < before["options"][0]["minutes"].get<double>());
  CHECK(bench("verdict 1")
            .out.find("wires and rebuilds done: time, cost and chance are those of what is left") !=
        std::string::npos);
  CHECK(bench("outcome 1 " + number + " undone").code == 0);
  CHECK(bench.json("verdict 1")["options"] == before["options"]);
  CHECK(bench("outcome 1 " + number + " undone").code == 1);
  const auto noted = bench.json("outcome 1")["outcomes"];
  REQUIRE(noted.size() == 2);
  CHECK(noted[1]["taken_back"] == true);
  CHECK(bench("outcome 1 job undone").code == 1);
  CHECK(bench("outcome 1 job failed").code == 0);
  CHECK(bench("outcome 1 job undone").code == 0);
  CHECK(bench.json("verdict 1")["options"] == before["options"]);
}

TEST_CASE("a grade that nobody stated is marked as assumed, until the setting says it") {
  const Bench bench;
  begin(bench);
  const auto fast_of = [&] {
    for (const auto& wire : bench.json("plan 1")["jumpers"]) {
      if (!wire["speed"].is_null()) return wire;
    }
    return bench.json("plan 1")["jumpers"][0];
  };
  const auto wire = fast_of();
  REQUIRE(!wire["speed"].is_null());
  CHECK(wire["speed"]["assumed"] == true);
  const std::string setting = wire["speed"]["setting"].get<std::string>();
  CHECK(wire["signal"].get<std::string>().find("assumed, the setting " + setting) != std::string::npos);
  CHECK(bench("verdict 1").out.find("assumed") != std::string::npos);
  CHECK(bench("settings " + setting + " 1066").code == 0);
  CHECK(fast_of()["speed"]["assumed"] == false);
  CHECK(bench("verdict 1").out.find("assumed") == std::string::npos);
}

TEST_CASE("a fact changes the answer until it is withdrawn") {
  const Bench bench;
  begin(bench);
  const auto before = bench.json("assess 1")["jumpers"];
  CHECK(bench("fact 1 open U1.Y3").code == 0);
  const auto with = bench.json("assess 1")["jumpers"];
  CHECK(with["count"].get<int>() == before["count"].get<int>() + 1);
  const auto facts = bench.json("fact 1 list")["facts"];
  REQUIRE(facts.size() == 1);
  CHECK(bench("fact 1 withdraw " + std::to_string(facts[0]["number"].get<int>())).code == 0);
  CHECK(bench.json("assess 1")["jumpers"] == before);
  CHECK(bench("fact 1 open U1.ZZ99").code == 1);
  CHECK(bench("fact 1 joined U1.Y3 U1.Y2").code == 2);  // different nets
  CHECK(bench("fact 1 toward U1.Y2 up").code == 2);
  CHECK(bench("fact 1 withdraw 77").code == 1);
}

TEST_CASE("a safety-critical board gets the referral instead of plan and verdict") {
  const Bench bench;
  begin(bench, "yes");
  for (const char* command : {"plan 1", "verdict 1"}) {
    const auto ran = bench(command);
    CHECK(ran.code == 1);
    CHECK(ran.out.find("authorised repair") != std::string::npos);
  }
}

TEST_CASE("a bus is tapped, and dark lines are laid at a place") {
  const Bench bench;
  bench.import_sample();
  const auto tap = bench.json("tap skua4 RAM1_A2 RAM1_A11");
  CHECK(tap["points"].size() == 2);
  const auto suspects = bench.json("suspect skua4 RAM1_A2 RAM1_A11 RAM1_A13 RAM1_A8");
  REQUIRE_FALSE(suspects["suspects"].empty());
  CHECK(suspects["suspects"][0]["dark"].size() >= 3);
}

TEST_CASE(
    "nothing but a bare package or a ball list: plan and verdict answer, and say what they cannot know") {
  const Bench bench;
  CHECK(bench("board new chip --package 6x6 --pitch 0.8").code == 0);
  CHECK(bench("job new chip U1 --safety-critical no").code == 0);
  CHECK(bench("mark 1 A1=torn").code == 0);
  CHECK(bench("fact 1 named U1.A1 DDR_A3").code == 0);
  const auto plan = bench("plan 1");
  CHECK(plan.code == 0);
  CHECK(plan.out.find("not known") != std::string::npos);
  for (const char* command : {"verdict 1", "assess 1", "--json plan 1"}) CHECK(bench(command).code == 0);
}

TEST_CASE("a later reading outdoes an earlier one, and a name that is no net is refused") {
  const Bench bench;
  begin(bench);
  CHECK(bench("fact 1 joined U1.AB3 U3.T3").code == 0);
  CHECK(bench("fact 1 open U1.AB3 U3.T3").code == 0);
  const auto facts = bench.json("fact 1 list")["facts"];
  REQUIRE(facts.size() == 1);
  CHECK(facts[0]["kind"] == "open");
  CHECK(bench("fact 1 named U1.AB3 NOPE").code == 1);
  CHECK(bench("fact 1 joined U1.AB3 U1.AB3").code == 2);
}

TEST_CASE("a wire that is left out is named, one that the plan has not is refused") {
  const Bench bench;
  begin(bench);
  const int number = bench.json("plan 1")["jumpers"][0]["number"].get<int>();
  const auto without = bench.json("verdict 1 --without " + std::to_string(number));
  bool said = false;
  for (const auto& remark : without["remarks"])
    said = said || remark.get<std::string>().find("stays open") != std::string::npos;
  CHECK(said);
  CHECK(without["stays_lost"]["wires"] == std::vector<int>{number});
  CHECK(without["stays_lost"]["nets"].size() == 1);
  // What holds stands beside what is tried.
  CHECK(without["as_it_stands"]["says"] == bench.json("verdict 1")["says"]);
  CHECK(without["as_it_stands"]["stays_lost"]["wires"].empty());
  CHECK(bench("verdict 1 --without 99").code == 1);
}

TEST_CASE("a pin that nobody marked and nothing reaches is counted and named") {
  if (!landfall::testing::have_shared()) return;
  const Bench bench;
  REQUIRE(bench("import '" +
                landfall::testing::shared_file("boards/kicad_pcb/orangecrab_r0.2.1.kicad_pcb").string() + "'")
              .code == 0);
  REQUIRE(bench("job new orangecrab U4 --safety-critical no").code == 0);
  REQUIRE(bench("mark 1 K7=barrel").code == 0);
  const auto assessed = bench("assess 1");
  CHECK(assessed.out.find("2 cannot be mended") != std::string::npos);
  CHECK(assessed.out.find("cannot     U3.K18, though nobody marked it: ") != std::string::npos);
}

TEST_CASE("on a sheet a number is its site's for good, whatever is marked after it") {
  const Bench bench;
  begin(bench);
  REQUIRE(bench("report 1 -o " + bench.folder.file("sheet.html").string()).code == 0);
  const auto by_site = [&] {
    std::map<std::string, int> numbers;
    const auto plan = bench.json("plan 1");
    for (const auto& wire : plan["jumpers"]) numbers[wire["from"]] = wire["number"];
    return numbers;
  };
  const auto on_paper = by_site();
  REQUIRE(on_paper.size() == 3);
  // Deeper in the array and on other nets: each would come before what is there in the order of work.
  REQUIRE(bench("mark 1 Y4=torn W3=torn AB5=missing V2=barrel").code == 0);
  const auto now = by_site();
  CHECK(now.size() > on_paper.size());
  std::set<int> taken;
  for (const auto& [site, number] : now) CHECK(taken.insert(number).second);
  for (const auto& [site, number] : on_paper) CHECK(now.at(site) == number);
  // An outcome by the old sheet is of the site that it says there.
  const auto& [site, number] = *on_paper.begin();
  REQUIRE(bench("outcome 1 " + std::to_string(number) + " worked").code == 0);
  CHECK(bench.json("outcome 1")["outcomes"][0]["site"] == site);
  // A mark taken off and set again has its old number.
  REQUIRE(bench("unmark 1 AA3").code == 0);
  REQUIRE(bench("mark 1 AA3=barrel").code == 0);
  CHECK(by_site().at("U1.AA3") == on_paper.at("U1.AA3"));
}

TEST_CASE("a number that an outcome named stays its site's as well") {
  const Bench bench;
  begin(bench);
  const auto wires = bench.json("plan 1")["jumpers"];
  const std::string site = wires[1]["from"];
  const int number = wires[1]["number"];
  REQUIRE(bench("outcome 1 " + std::to_string(number) + " worked").code == 0);
  REQUIRE(bench("mark 1 Y4=torn W3=torn V2=barrel").code == 0);
  const auto plan = bench.json("plan 1");
  bool found = false;
  for (const auto& wire : plan["jumpers"])
    found = found || (wire["from"] == site && wire["number"] == number);
  CHECK(found);
}

TEST_CASE("a land of the chip that the board can do without no longer refuses the repair") {
  const Bench bench;
  begin(bench);
  REQUIRE(bench("mark 1 AB5=chip").code == 0);
  CHECK(bench.json("assess 1")["jumpers"]["cannot"] == 1);
  REQUIRE(bench("fact 1 spare U1.AB5").code == 0);
  CHECK(bench.json("assess 1")["jumpers"]["cannot"] == 0);
  CHECK(bench("fact 1").out.find("the board can do without U1.AB5") != std::string::npos);
  const auto verdict = bench("verdict 1");
  CHECK(verdict.out.find("left as it is, since the board can do without it, as you said: U1.AB5") !=
        std::string::npos);
  // What it means for the channel is not hidden.
  const auto channels = bench.json("assess 1")["channels"];
  CHECK(channels[0]["state"] == "down");
  REQUIRE(bench("fact 1 withdraw 1").code == 0);
  CHECK(bench.json("assess 1")["jumpers"]["cannot"] == 1);
}

TEST_CASE("a verdict on a job without marks says so") {
  const Bench bench;
  bench.import_sample();
  REQUIRE(bench("job new skua4 U1 --safety-critical no").code == 0);
  CHECK(bench("verdict 1").out.find("nothing is marked yet") != std::string::npos);
}

TEST_CASE("a site that is mended another way keeps its number, and the sheets' R is understood") {
  const Bench bench;
  begin(bench);
  REQUIRE(bench("mark 1 AB5=missing").code == 0);
  REQUIRE(bench("report 1 -o " + bench.folder.file("sheet.html").string()).code == 0);
  const auto before = bench.json("plan 1");
  const int wire = before["jumpers"][0]["number"];
  const std::string site = before["jumpers"][0]["from"];
  const int rebuild = before["rebuilds"][0]["number"];
  REQUIRE(bench("mark 1 " + site + "=missing").code == 0);
  const auto after = bench.json("plan 1");
  bool kept = false;
  for (const auto& one : after["rebuilds"]) kept = kept || (one["site"] == site && one["number"] == wire);
  CHECK(kept);
  CHECK(bench("outcome 1 R" + std::to_string(rebuild) + " worked").code == 0);
  const auto outcomes = bench.json("outcome 1");
  CHECK(outcomes["outcomes"][0]["site"] == "U1.AB5");
  CHECK(bench("outcome 1 R worked").code == 2);
}

TEST_CASE("a number called a rebuild that is a wire is refused and the other way round") {
  const Bench bench;
  begin(bench);
  REQUIRE(bench("mark 1 AB5=missing").code == 0);
  const auto plan = bench.json("plan 1");
  const std::string wire = std::to_string(plan["jumpers"][0]["number"].get<int>());
  const std::string rebuild = std::to_string(plan["rebuilds"][0]["number"].get<int>());
  const auto wrong = bench("outcome 1 R" + wire + " worked");
  CHECK(wrong.code == 2);
  CHECK(wrong.out.find("is no rebuild but the wire " + plan["jumpers"][0]["from"].get<std::string>()) !=
        std::string::npos);
  const auto other = bench("outcome 1 " + rebuild + " worked");
  CHECK(other.code == 2);
  CHECK(other.out.find("the rebuild at U1.AB5: write R" + rebuild) != std::string::npos);
  CHECK(bench.json("outcome 1")["outcomes"].empty());
  CHECK(bench("outcome 1 R" + rebuild + " worked").code == 0);
  // Given out with that outcome, and no piece of the plan any more.
  const std::string site = plan["jumpers"][0]["from"];
  REQUIRE(bench("unmark 1 " + site.substr(3)).code == 0);
  const auto gone = bench("outcome 1 " + wire + " worked");
  CHECK(gone.code == 1);
  CHECK(gone.out.find("has no number " + wire + " any more: it was the wire " + site + " to ") !=
        std::string::npos);
}

TEST_CASE("a rebuild whose number was given out as a wire's keeps it when it fails") {
  const Bench bench;
  begin(bench);
  REQUIRE(bench("report 1 -o " + bench.folder.file("sheet.html").string()).code == 0);
  const auto before = bench.json("plan 1");
  const int number = before["jumpers"][0]["number"];
  const std::string site = before["jumpers"][0]["from"];
  REQUIRE(bench("mark 1 " + site + "=missing").code == 0);
  REQUIRE(bench("outcome 1 R" + std::to_string(number) + " failed").code == 0);
  REQUIRE(bench("mark 1 " + site + "=barrel").code == 0);
  const auto after = bench.json("plan 1");
  REQUIRE(after["failed"].size() == 1);
  CHECK(after["failed"][0]["number"] == number);
}

TEST_CASE("what the board can do without counts when it is lost, and the answer says so") {
  const Bench bench;
  begin(bench);
  const auto early = bench("fact 1 spare U1.AB5");
  CHECK(early.code == 0);
  CHECK(early.out.find("U1.AB5 is not marked: that the board can do without it counts when it is lost") !=
        std::string::npos);
  REQUIRE(bench("mark 1 AB5=torn").code == 0);
  CHECK(bench("fact 1 spare U1.AB5").out.find("not marked") == std::string::npos);
}
