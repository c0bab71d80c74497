// Intake, readings, the shelf and the tally, as their user types them.
#include "tests/support/program.hpp"

using namespace landfall;

namespace {

void begin(const testing::ProgramBench& bench) {
  bench.import_sample();
  REQUIRE(bench("job new skua4 U1 --title dark").code == 0);
  REQUIRE(bench("mark 1 AB3=torn Y2=torn").code == 0);
}

}  // namespace

TEST_CASE("intake: unanswered questions of safety are said, answers lead to cautions, dark nets are nets") {
  const testing::ProgramBench bench;
  begin(bench);
  CHECK(bench("intake 1").out.find("Not answered yet: Is the battery out?") != std::string::npos);
  const auto told = bench.json(
      "intake 1 battery=no capacitors=yes mains=no safety-critical=no 'dark=RAM1_D8 RAM1_D9' "
      "'symptoms=no start, fan runs' ticket=4711");
  CHECK(told["intake"]["symptoms"] == "no start, fan runs");
  CHECK(told["intake"]["safety-critical"] == "no");
  REQUIRE(told["cautions"].size() == 1);
  CHECK(told["cautions"][0].get<std::string>().find("The battery is in") == 0);
  CHECK(bench.json("intake 1 battery=yes")["cautions"].empty());
  CHECK(bench("intake 1 battery=perhaps").code == 2);
  CHECK(bench("intake 1 colour=red").code == 2);
  CHECK(bench("intake 1 dark=NO_SUCH_NET").code == 1);
  CHECK(bench.json("intake 1 ticket=")["intake"]["ticket"].is_null());
  // The dark nets need not be typed again.
  const auto suspects = bench.json("suspect --job 1");
  CHECK(suspects["suspects"].size() > 0);
  CHECK(bench("suspect skua4").code == 2);
}

TEST_CASE(
    "readings: a row of values in the sheet's order, judged by the lines beside, by a good board after "
    "that") {
  const testing::ProgramBench bench;
  begin(bench);
  const auto empty = bench.json("reading 1");
  REQUIRE(empty["rows"].size() >= 10);
  CHECK(empty["rows"][0]["damaged"] == true);
  CHECK(empty["rows"][2]["damaged"] == false);
  // The first is open, the fourth a short, the others alike.
  const auto read = bench.json("reading 1 before OL 0.451 0.448 0.004 0.45 0.452 0.447 0.449 - 0.453");
  CHECK(read["rows"][0]["before"]["word"] == "open");
  CHECK(read["rows"][1]["before"]["word"] == "good");
  CHECK(read["rows"][3]["before"]["word"] == "short");
  CHECK(read["rows"][8]["before"].is_null());
  CHECK(read["hints"].size() == 1);
  // One is put right, one taken back.
  const std::string net = read["rows"][3]["net"];
  const auto mended = bench.json("reading 1 before " + net + "=0.45");
  CHECK(mended["rows"][3]["before"]["word"] == "good");
  CHECK(
      bench("reading 1 withdraw " + std::to_string(mended["rows"][3]["before"]["number"].get<int>())).code ==
      0);
  CHECK(bench.json("reading 1")["rows"][3]["before"].is_null());
  CHECK(bench("reading 1 before 0.4x").code == 2);
  CHECK(bench("reading 1 before NO=0.4").code == 1);
  CHECK(bench("reading 1 withdraw 9999").code == 1);
  // A second board of the kind, known good, is what the first is compared with.
  REQUIRE(bench("job new skua4 U1 --title good --safety-critical no").code == 0);
  REQUIRE(bench("mark 2 AB3=torn Y2=torn").code == 0);
  REQUIRE(bench("reading 2 before 0.60 0.60").code == 0);
  REQUIRE(bench("reading 2 good").code == 0);
  const auto beside = bench.json("reading 1 after 0.601 0.45");
  CHECK(beside["rows"][0]["expected"]["value"] == doctest::Approx(0.6));
  CHECK(beside["rows"][0]["after"]["word"] == "good");
  CHECK(beside["rows"][1]["after"]["word"] == "doubtful");
  // One value a line, from standard input.
  const testing::Ran piped = testing::shell("printf '0.45\\n0.46\\n' | " LANDFALL_PROGRAM " --bench " +
                                            bench.folder.file("bench.sqlite").string() + " reading 1 after");
  CHECK(piped.code == 0);
  CHECK(piped.out.find("0.460") != std::string::npos);
  // The sheet has them.
  const std::string sheet = bench.folder.file("m.csv").string();
  REQUIRE(bench("report 1 --sheet measuring -o " + sheet).code == 0);
  CHECK(testing::read_file(sheet).find("0.600") != std::string::npos);
}

TEST_CASE("the shelf says who has a part, best first, the tally compares what was said with what came") {
  const testing::ProgramBench bench;
  begin(bench);
  CHECK(bench("tally").out.find("No job has an outcome yet") == 0);
  CHECK(bench("tally").out.find("No verdict on a repair has been kept yet") != std::string::npos);
  REQUIRE(bench("intake 1 safety-critical=no").code == 0);
  REQUIRE(bench("outcome 1 job failed").code == 0);
  const auto tally = bench.json("tally");
  CHECK(tally["jobs"] == 1);
  CHECK(tally["worked"] == 0);
  CHECK(tally["said"].get<double>() > 0.5);
  // In money: what a repair that failed leaves, by the terms that the verdict shows.
  const auto money = tally["money"];
  CHECK(money["known"] == 1);
  REQUIRE(money["periods"].size() == 1);
  CHECK(money["periods"][0]["jobs"] == 1);
  CHECK(money["periods"][0]["running"] == money["came"]);
  CHECK(money["came"].get<double>() < money["predicted_of_known"].get<double>());
  CHECK(bench("tally --by quarter").out.find(" Q") != std::string::npos);
  CHECK(bench("tally --by week").code == 2);
  CHECK(bench("shelf find 256M").code == 1);
  REQUIRE(bench("shelf add 1 --note 'corner gone'").code == 0);
  CHECK(bench.json("shelf list")["shelf"].size() == 1);
  CHECK(bench.json("shelf find 256m")["donors"].size() == 2);
  REQUIRE(bench("mark 1 U1.A1=chip").code == 0);
  CHECK(bench.json("shelf find U1")["donors"][0]["state"] == "its own lands damaged");
  REQUIRE(bench("shelf take 1 U2").code == 0);
  CHECK(bench.json("shelf find 256m")["donors"].size() == 1);
  CHECK(bench("shelf take 1 U99").code == 1);
  REQUIRE(bench("shelf put-back 1 U2").code == 0);
  CHECK(bench("shelf put-back 1 U2").code == 1);  // it is there already
  REQUIRE(bench("shelf take 1 U2").code == 0);
  REQUIRE(bench("shelf off 1").code == 0);
  CHECK(bench("shelf off 1").code == 1);
}

TEST_CASE("a closed job takes no mark and no fact and no reading and no outcome until it is opened again") {
  const testing::ProgramBench bench;
  begin(bench);
  REQUIRE(bench("intake 1 safety-critical=no").code == 0);
  CHECK(bench("job close 1").out.find("landfall job reopen 1") != std::string::npos);
  for (const char* work :
       {"mark 1 AB4=torn", "unmark 1 AB3", "note 1 AB3 lifted", "undo 1", "redo 1", "fact 1 open U1.AB3",
        "fact 1 withdraw 1", "reading 1 before OL", "reading 1 withdraw 1", "outcome 1 3 worked",
        "outcome 1 job worked", "outcome 1 job undone", "intake 1 ticket=12", "intake 1 safety-critical=yes",
        "job safety 1 yes"}) {
    CAPTURE(std::string(work));
    const auto refused = bench(work);
    CHECK(refused.code == 3);
    CHECK(refused.out.find("job 1 is closed: open it again first (landfall job reopen 1)") !=
          std::string::npos);
  }
  CHECK(bench.json("job show 1")["marks"].size() == 2);
  CHECK(bench.json("outcome 1")["outcomes"].empty());
  // Papers may follow, and questions are answered as ever.
  CHECK(bench("intake 1").code == 0);
  CHECK(bench("reading 1 good").code == 0);
  CHECK(bench("shelf add 1").code == 0);
  CHECK(bench("assess 1").code == 0);
  CHECK(bench("job close 1").out == "job 1 is closed already; landfall job reopen 1 opens it again\n");
  CHECK(bench("job reopen 1").out == "job 1 open again\n");
  CHECK(bench("job reopen 1").out == "job 1 is open already\n");
  CHECK(bench("mark 1 AB4=torn").code == 0);
}

TEST_CASE("behind a job's words the options are still options") {
  const testing::ProgramBench bench;
  begin(bench);
  for (const char* command : {"fact", "reading"}) {
    CAPTURE(std::string(command));
    const auto help = bench(std::string(command) + " --help");
    REQUIRE(help.code == 0);
    for (const char* words : {" 1 --help", " 1 -h", " 1 list --help"}) {
      const auto ran = bench(command + std::string(words));
      CHECK(ran.code == 0);
      CHECK(ran.out == help.out);
    }
    CHECK(bench(std::string(command) + " 1 --jsn").code == 2);
  }
  CHECK(bench("fact 1 list --json").out.front() == '{');
  CHECK(bench("reading 1 --json").out.front() == '{');
  // A place left of the corner is no option.
  CHECK(bench("fact 1 ban -3,-4").code == 0);
}

TEST_CASE("where the end of a job is noted what follows says so, and how a slip is taken back") {
  const testing::ProgramBench bench;
  begin(bench);
  REQUIRE(bench("intake 1 safety-critical=no").code == 0);
  CHECK(bench("mark 1 AB4=sound").out.find("the end of job") == std::string::npos);
  CHECK(bench("outcome 1 job worked").out.find("landfall job close 1") != std::string::npos);
  for (const char* work : {"mark 1 AB5=torn", "fact 1 open U1.AB5", "outcome 1 1 worked"}) {
    CAPTURE(std::string(work));
    const auto ran = bench(work);
    CHECK(ran.code == 0);
    CHECK(ran.out.find("the end of job 1 is noted already: worked") != std::string::npos);
    CHECK(ran.out.find("landfall outcome 1 job undone") != std::string::npos);
  }
  CHECK_FALSE(bench.json("mark 1 AB6=torn")["remark"].is_null());
  REQUIRE(bench("outcome 1 job undone").code == 0);
  CHECK(bench.json("mark 1 AB6=missing")["remark"].is_null());
}

TEST_CASE("before a meter touches the board the readings say what the intake has against it") {
  const testing::ProgramBench bench;
  begin(bench);
  CHECK(bench("reading 1").out.find("! ") == std::string::npos);  // nobody keeps an intake
  REQUIRE(bench("intake 1 mains=no").code == 0);
  CHECK(
      bench("reading 1").out.find("! The intake has not answered: Is the battery out? Are the capacitors") !=
      std::string::npos);
  REQUIRE(bench("intake 1 battery=no capacitors=no mains=no").code == 0);
  const std::string said = bench("reading 1").out;
  CHECK(said.find("! The battery is in: take it out before any reading and before any heat.\n") !=
        std::string::npos);
  CHECK(said.find("! Capacitors are not shown to be discharged") != std::string::npos);
  CHECK(said.find("has not answered") == std::string::npos);
  CHECK(bench.json("reading 1")["cautions"].size() == 2);
  REQUIRE(bench("intake 1 battery=yes capacitors=yes").code == 0);
  CHECK(bench.json("reading 1")["cautions"].empty());
  CHECK(bench("reading 1").out.find("! ") == std::string::npos);
}

TEST_CASE("values that no meter shows are refused with the range, millivolts are taken") {
  const testing::ProgramBench bench;
  begin(bench);
  // Common practice, no source: diode mode shows up to some 3 V, then OL; ohms go to 100 M.
  for (const char* value : {"45", "452", "4.7k", "3.6"}) {
    CAPTURE(std::string(value));
    const auto refused = bench(std::string("reading 1 before ") + value);
    CHECK(refused.code == 2);
    CHECK(refused.out.find("in diode mode a meter shows 0 to 3.5 V, then OL (common practice, no source)") !=
          std::string::npos);
  }
  CHECK(bench("reading 1 before ohm 101M").out.find("0 to 100M ohm") != std::string::npos);
  CHECK(bench("reading 1 before -- -0.4").code == 2);
  const auto read = bench.json("reading 1 before 452m 0.452V 3.5");
  CHECK(read["rows"][0]["before"]["value"] == doctest::Approx(0.452));
  CHECK(read["rows"][1]["before"]["value"] == doctest::Approx(0.452));
  const auto ohms = bench.json("reading 1 before ohm 4.7k 1m 100M");
  CHECK(ohms["rows"][0]["before"]["value"] == doctest::Approx(4'700));
  CHECK(ohms["rows"][1]["before"]["value"] == doctest::Approx(1e6));
  CHECK(ohms["rows"][2]["before"]["value"] == doctest::Approx(1e8));
}
