// The command line as its user meets it: answers, one clear line for what is wrong, the right exit code, and
// nothing lost.
#include <filesystem>
#include <fstream>

#include <doctest/doctest.h>
#include <nlohmann/json.hpp>
#include <unistd.h>

#include "tests/support/program.hpp"

namespace {

using Bench = landfall::testing::ProgramBench;
using landfall::testing::Ran;
using landfall::testing::shell;

std::string sample(const std::string& name) {
  return std::string(LANDFALL_SOURCE) + "/sample-boards/skua4/" + name;
}

void import_sample(const Bench& bench) {
  bench.import_sample();
}

std::size_t lines(const std::string& text) {
  return static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n'));
}

}  // namespace

TEST_CASE("a file where a board's name belongs is said to be a file and how it becomes a board") {
  const Bench bench;
  const Ran ran = bench("check " + sample("skua4.kicad_pcb"));
  CHECK(ran.code != 0);
  CHECK(ran.out.find("that is a file: landfall import reads it") != std::string::npos);
  CHECK(bench("check skua9").out.find("there is no board skua9; known: none yet") != std::string::npos);
}

TEST_CASE("from files to what was lost: the main job on the sample board") {
  const Bench bench;
  import_sample(bench);
  CHECK(bench("job new skua4 U1 --title plotter --safety-critical no").code == 0);
  CHECK(bench("mark 1 U1.A1..B3=torn C4=sound").code == 0);
  const auto answer = bench.json("assess 1");
  CHECK(answer["sites"].size() == 6);
  CHECK(answer["jumpers"]["bound"] == false);  // the board file gives the copper
  CHECK(answer["not_inspected"] == 420 - 7);
  for (const auto& key :
       {"sites", "cut_off", "not_inspected", "nets", "buses", "lanes", "channels", "jumpers"})
    CHECK(answer.contains(key));
  for (const auto& site : answer["sites"]) {
    for (const auto& key :
         {"part", "ball", "net", "mark", "need", "reason", "class", "bus", "lane", "channel"})
      CHECK(site.contains(key));
  }
  const auto pins = bench("pins skua4 U2");
  CHECK(lines(pins.out) == 96);
  CHECK(pins.out.starts_with("U2\tA1\tP1V35_RAM\n"));
  CHECK(bench("why skua4 RAM1_D9").out.find("RAM1 lane 1") != std::string::npos);
  CHECK(bench("ball skua4 u1.a03").out.find("U1.A3") != std::string::npos);
  CHECK(bench("net skua4 card_clk").out.find("beyond   R") != std::string::npos);
  CHECK(bench("find dqs1 --board skua4").out.find("RAM1_DQS1_P") != std::string::npos);
  for (const char* ending : {"svg", "png", "pdf"}) {
    const auto file = bench.folder.file(std::string("map.") + ending);
    CHECK(bench("map skua4 U1 --job 1 --face balls --turn 90 -o " + file.string()).code == 0);
    CHECK(std::filesystem::file_size(file) > 1000);
  }
  CHECK(bench("map skua4 U1 -o map.bmp").code == 2);
  CHECK(bench("assess 1").out.find("\x1b[") == std::string::npos);  // no colour into a pipe
}

TEST_CASE("the same files twice change nothing, and a second name for a board is refused") {
  const Bench bench;
  import_sample(bench);
  CHECK(bench.json("import " + sample("skua4.kicad_pcb") + " " + sample("skua4.net"))["unchanged"] == true);
  CHECK(bench.json("board list")["boards"].size() == 1);
  CHECK(bench("import " + sample("skua4.ipc") + " --name SKUA4").code == 2);
}

TEST_CASE("what cannot be read is one line with the right code, and nothing is kept") {
  const Bench bench;
  struct Bad {
    std::string file, says;
  };
  const std::string board = landfall::testing::read_file(sample("skua4.kicad_pcb"));
  for (const Bad& bad :
       {Bad{bench.write("empty", ""), "the file is empty"},
        Bad{bench.write("cut.kicad_pcb", board.substr(0, board.size() / 2)), "never closed"},
        Bad{bench.write("binary", std::string("\x7F"
                                              "ELF\0\0\0",
                                              7)),
            "not a text file"},
        Bad{bench.write("note.txt", "hello"), "no design"}, Bad{bench.folder.path().string(), "folder"},
        Bad{bench.folder.file("none").string(), "no such file"}}) {
    INFO(bad.file);
    const Ran ran = bench("import " + sample("skua4.net") + " " + bad.file);
    CHECK(ran.code == 3);
    CHECK(lines(ran.out) == 1);
    CHECK(ran.out.find(bad.says) != std::string::npos);
    CHECK(ran.out.find(bad.file) != std::string::npos);
    CHECK(bench.json("board list")["boards"].empty());
  }
  // The place where the open list began.
  CHECK(bench("import " + bench.folder.file("cut.kicad_pcb").string()).out.find("cut.kicad_pcb:") !=
        std::string::npos);
}

TEST_CASE("a file that the user may not read is refused, tried as an unprivileged user") {
  const Bench bench;
  const std::string file = bench.write("secret.net", "(export)");
  std::filesystem::permissions(file, std::filesystem::perms::none);
  std::filesystem::permissions(bench.folder.path(), std::filesystem::perms::all);
  std::string as;
  if (getuid() == 0) as = "setpriv --reuid 65534 --regid 65534 --clear-groups ";
  const Ran ran =
      shell(as + LANDFALL_PROGRAM " --bench " + bench.folder.file("own.sqlite").string() + " import " + file);
  CHECK(ran.code == 3);
  CHECK(ran.out.find("may not be read") != std::string::npos);
}

TEST_CASE("wrong names, kinds and forms are refused, the near ones are named, and nothing is marked") {
  const Bench bench;
  import_sample(bench);
  CHECK(bench("job new skua4 U1").code == 0);
  const Ran ball = bench("mark 1 A3=torn ZZ99=torn");
  CHECK(ball.code == 1);
  CHECK(lines(ball.out) == 1);
  CHECK(bench("mark 1 AB33=torn").out.find("near it") != std::string::npos);
  CHECK(bench("mark 1 A3=ripped").out.find("sound, mask, loose, missing, torn, barrel, chip") !=
        std::string::npos);
  CHECK(bench("mark 1 A3=ripped").code == 2);
  CHECK(bench("mark 1 A3").code == 2);
  CHECK(bench("mark 1 U2.A3=torn").code == 2);  // not lifted
  CHECK(bench("job new skua4 U99").code == 1);
  CHECK(bench("mark 9 A3=torn").code == 1);
  CHECK(bench("assess").code == 2);
  CHECK(bench("frobnicate").code == 2);
  CHECK(bench("frobnicate").out.find("frobnicate is no command") != std::string::npos);
  CHECK(bench("help mark").code == 0);
  CHECK(bench("help mark").out == bench("mark --help").out);
  CHECK(bench("help").out.find("assess") != std::string::npos);
  CHECK(bench("help frobnicate").code == 2);
  CHECK(bench.json("assess 1")["sites"].empty());
}

TEST_CASE("a ball marked twice holds the last kind, and undo brings the first back") {
  const Bench bench;
  import_sample(bench);
  CHECK(bench("job new skua4 U1").code == 0);
  CHECK(bench("mark 1 A3=torn").code == 0);
  CHECK(bench("mark 1 A3=loose").code == 0);
  CHECK(bench.json("job show 1")["marks"][0]["kind"] == "loose");
  CHECK(bench("undo 1").code == 0);
  CHECK(bench.json("job show 1")["marks"][0]["kind"] == "torn");
  CHECK(bench("redo 1").code == 0);
  CHECK(bench("redo 1").code == 1);
  CHECK(bench("note 1 A3 'lifted with the chip'").code == 0);
  CHECK(bench.json("job show 1")["marks"][0]["note"] == "lifted with the chip");
  CHECK(bench("unmark 1 A3").code == 0);
  CHECK(bench.json("job show 1")["marks"].empty());
  CHECK(bench("mark 1 A3 B3..C4 torn").code == 0);
  CHECK(bench.json("job show 1")["marks"].size() == 5);
}

TEST_CASE("a board with a job on it is not removed unless told, and then with the job") {
  const Bench bench;
  import_sample(bench);
  CHECK(bench("job new skua4 U1").code == 0);
  CHECK(bench("board remove skua4").code == 3);
  CHECK(bench.json("board list")["boards"].size() == 1);
  CHECK(bench("board remove skua4 --with-jobs").code == 0);
  CHECK(bench.json("board list")["boards"].empty());
  CHECK(bench.json("job list")["jobs"].empty());
}

TEST_CASE("a bench file that is none is refused with code 4") {
  const Bench bench;
  (void)bench.write("bench.sqlite", std::string(9000, 'x'));
  const Ran ran = bench("board list");
  CHECK(ran.code == 4);
  CHECK(lines(ran.out) == 1);
  CHECK(landfall::testing::read_file(bench.folder.file("bench.sqlite")) == std::string(9000, 'x'));
}

TEST_CASE("nothing but the chip in the hand: a bare package can be marked and mapped") {
  const Bench bench;
  CHECK(bench("board new unknown --package 12x14 --pitch 0.65").code == 0);
  CHECK(bench("job new unknown U1 --safety-critical yes").out.find("authorised repair") != std::string::npos);
  CHECK(bench("mark 1 A1..C3=torn").code == 0);
  CHECK(bench.json("assess 1")["sites"].size() == 9);
  CHECK(bench("map unknown U1 -o " + bench.folder.file("m.svg").string() + " --scale 1:1").code == 0);
  CHECK(bench("board new other --package 12 --pitch 0.65").code == 2);
}

TEST_CASE("a rule of the user's changes what a net is, and can be taken away") {
  const Bench bench;
  import_sample(bench);
  CHECK(bench("rule add skua4 'BOOT*' --class analogue --channel straps").code == 0);
  CHECK(bench("why skua4 BOOT1").out.find("analogue") != std::string::npos);
  CHECK(bench("rule list skua4").out.find("BOOT*") != std::string::npos);
  CHECK(bench("rule remove skua4 1").code == 0);
  CHECK(bench("rule remove skua4 1").code == 1);
  CHECK(bench("rule add skua4 'BOOT*'").code == 2);
  CHECK(bench("settings supply.spare-share 12").code == 0);
  CHECK(bench.json("settings supply.spare-share")["settings"][0]["value"] == 12.0);
  CHECK(bench("settings supply.spare-share 400").code == 2);
  CHECK(bench("settings nothing").code == 1);
}
