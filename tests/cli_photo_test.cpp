// Photos as their user types them: added, laid by lands, drawn over, saved without what the camera wrote,
// rubbed out.
#include <cmath>

#include "netdb/photo/picture.hpp"
#include "tests/support/program.hpp"

using namespace landfall;

namespace {

// 640 x 480 of one colour with a camera's words in it.
std::string jpeg_with_exif() {
  photo::Picture picture;
  picture.width = 640;
  picture.height = 480;
  picture.rgb.assign(std::size_t{640} * 480 * 3, 90);
  std::string file = *photo::write_jpeg(picture, 90);
  const std::string words =
      std::string("\xFF\xE1\x00\x1F", 4) + std::string("Exif\0\0", 6) + "GPS 54.32N secret/path";
  return file.insert(2, words + '!');
}

// Lands of U1 by the pins' places on the sample board would need the board; a turn of U1's own grid does: 0.8
// mm a step is taken from the ball map, and the fit's residual tells whether that was right.
std::string match(const std::string& ball, double x, double y) {
  return " --match " + ball + "=" + std::to_string(x) + "," + std::to_string(y);
}

void begin(const testing::ProgramBench& bench) {
  bench.import_sample();
  REQUIRE(bench("job new skua4 U1 --title dark --safety-critical no").code == 0);
  REQUIRE(bench("photo add 1 " + bench.write("a.jpg", jpeg_with_exif()) + " --note corner").code == 0);
}

}  // namespace

TEST_CASE("a photo is kept without the camera's words, listed, saved in either format, rubbed out") {
  const testing::ProgramBench bench;
  CHECK(bench("photo list 1").code == 1);
  begin(bench);
  const auto list = bench.json("photo list 1");
  REQUIRE(list["photos"].size() == 1);
  CHECK(list["photos"][0]["width"] == 640);
  CHECK(list["photos"][0]["note"] == "corner");
  CHECK(list["photos"][0]["format"] == "jpeg");
  CHECK(list["photos"][0]["lies"].is_null());
  CHECK(bench.json("photo add 1 " + bench.folder.file("a.jpg").string())["had"] == true);
  for (const char* name : {"out.png", "out.jpg"}) {
    const std::string file = bench.folder.file(name).string();
    REQUIRE(bench("photo save 1 1 " + file).code == 0);
    const std::string bytes = testing::read_file(file);
    CHECK(bytes.find("secret") == std::string::npos);
    CHECK(photo::read_picture(bytes)->width == 640);
  }
  CHECK(testing::read_file(bench.folder.file("bench.sqlite")).find("secret/path") == std::string::npos);
  CHECK(bench("photo save 1 1 " + bench.folder.file("out.gif").string()).code == 2);
  CHECK(bench("photo save 1 2 " + bench.folder.file("out.png").string()).code == 1);
  CHECK(bench("photo add 1 " + bench.write("b.jpg", "no picture")).code == 3);
  CHECK(bench("photo add 1 " + bench.folder.file("absent.jpg").string()).code == 3);
  REQUIRE(bench("photo rub 1 1").code == 0);
  CHECK(bench.json("photo list 1")["photos"].empty());
  CHECK(bench("photo rub 1 1").code == 1);
}

TEST_CASE("a photo is laid by matched lands, says its residual and its hand, and the map is drawn over it") {
  const testing::ProgramBench bench;
  begin(bench);
  CHECK(bench("photo align 1 1").code == 1);
  // U1 lies upright on the top side: columns go right, rows down, so equal steps in the picture lay it
  // straight.
  const auto straight = bench.json("photo align 1 1" + match("A1", 100, 100) + match("A9", 260, 100) +
                                   match("J1", 100, 260) + match("J9", 262, 260));
  CHECK(straight["lies"]["fit"] == "similarity");
  CHECK(straight["lies"]["checked"] == true);
  CHECK(straight["lies"]["mirrored"] == false);
  CHECK(straight["lies"]["rms_um"].get<double>() > 1);
  CHECK(straight["lies"]["rms_um"].get<double>() < 60);
  CHECK(straight["matches"][3]["off_um"].get<double>() > 0);
  const auto mirrored = bench.json("photo align 1 1" + match("A1", 260, 100) + match("A9", 100, 100) +
                                   match("U1.J1", 260, 260));
  CHECK(mirrored["lies"]["mirrored"] == true);
  CHECK(mirrored["lies"]["other_hand_rms_um"].get<double>() > 1000);
  CHECK(bench("photo align 1 1").out.find("in a mirror") != std::string::npos);
  const auto slanted = bench.json("photo align 1 1 --fit perspective" + match("A1", 100, 100) +
                                  match("A9", 300, 110) + match("J9", 280, 260) + match("J1", 120, 250));
  CHECK(slanted["lies"]["fit"] == "perspective");
  CHECK(slanted["lies"]["checked"] == false);
  // What is refused changes nothing.
  for (const std::string& bad :
       {match("A1", 1, 1), match("A1", 1, 1) + match("A2", 1.2, 1), match("A1", 900, 1) + match("A2", 3, 3),
        std::string(" --match A1=1"), match("A1..A3", 1, 1) + match("J1", 3, 3)}) {
    CHECK(bench("photo align 1 1" + bad).code == 2);
  }
  CHECK(bench("photo align 1 1" + match("ZZ99", 3, 3) + match("A1", 9, 9)).code == 1);
  CHECK(bench.json("photo align 1 1")["lies"]["fit"] == "perspective");
  REQUIRE(bench("mark 1 B2=torn C3=sound").code == 0);
  for (const char* name : {"lay.png", "lay.svg", "lay.pdf"}) {
    const std::string file = bench.folder.file(name).string();
    const auto laid = bench.json("photo lay 1 1 " + file);
    CHECK(laid["lands"].get<int>() > 100);
    CHECK(testing::read_file(file).size() > 5000);
  }
  const auto png = photo::read_picture(testing::read_file(bench.folder.file("lay.png")));
  REQUIRE(png.ok());
  CHECK(png->width == 640);
  CHECK(png->height == 480);
}

TEST_CASE(
    "the job's record shows its photos with the map over them, in HTML and PDF, and no other sheet does") {
  const testing::ProgramBench bench;
  begin(bench);
  REQUIRE(
      bench("photo align 1 1" + match("A1", 100, 100) + match("A9", 260, 100) + match("J1", 100, 260)).code ==
      0);
  const std::string html = bench.folder.file("r.html").string();
  REQUIRE(bench("report 1 --sheet record -o " + html).code == 0);
  const std::string page = testing::read_file(html);
  CHECK(page.find("Photo 1, top side: corner") != std::string::npos);
  CHECK(page.find("data:image/jpeg;base64,/9j/") != std::string::npos);
  CHECK(page.find("similarity by 3 lands") != std::string::npos);
  const std::string other = bench.folder.file("d.html").string();
  REQUIRE(bench("report 1 --sheet decision -o " + other).code == 0);
  CHECK(testing::read_file(other).find("image/jpeg") == std::string::npos);
  const std::string pdf = bench.folder.file("r.pdf").string();
  REQUIRE(bench("report 1 --sheet record -o " + pdf).code == 0);
  CHECK(testing::read_file(pdf).find("/DCTDecode") != std::string::npos);
}

TEST_CASE("photos go over with the job unless they are left out") {
  const testing::ProgramBench bench;
  begin(bench);
  const std::string with = bench.folder.file("with.landfall").string();
  const std::string without = bench.folder.file("without.landfall").string();
  REQUIRE(bench("hand-over 1 -o " + with).code == 0);
  REQUIRE(bench("hand-over 1 --without-photos -o " + without).code == 0);
  const testing::ProgramBench other;
  CHECK(other.json("take-in " + without)["jobs"][0]["photos"] == 0);
  CHECK(other.json("take-in " + with)["jobs"][0]["photos"] == 1);
  CHECK(other.json("photo list 1")["photos"].size() == 1);
}

TEST_CASE("damage is proposed for a laid photo, marked only when accepted, and one by one") {
  const testing::ProgramBench bench;
  begin(bench);
  CHECK(bench("photo propose 1 1").code == 1);  // it does not lie on the board yet
  // 25 pixels a step of the grid; grey discs on green, two of them gone.
  photo::Picture picture;
  picture.width = 640;
  picture.height = 640;
  for (int y = 0; y < 640; ++y) {
    for (int x = 0; x < 640; ++x) {
      const int column = (x + 2) / 25;
      const int row = (y + 2) / 25;
      const bool disc = std::hypot(x + 0.5 - column * 25 - 10, y + 0.5 - row * 25 - 10) < 7;
      const bool gone = (column == 3 && row == 1) || (column == 12 && row == 3);
      const int speckle = (x * 7 + y * 13) % 11;
      for (const int value :
           {disc ? (gone ? 110 : 190) : 30, disc ? (gone ? 96 : 190) : 80, disc ? (gone ? 60 : 195) : 40})
        picture.rgb.push_back(static_cast<std::uint8_t>(value + speckle));
    }
  }
  REQUIRE(bench("photo add 1 " + bench.write("b.png", *photo::write_png(picture))).code == 0);
  REQUIRE(bench("photo align 1 2" + match("A1", 10, 10) + match("A22", 535, 10) + match("AB1", 10, 535) +
                match("AB22", 535, 535))
              .code == 0);
  const auto found = bench.json("photo propose 1 2");
  CHECK(found["looked_at"].get<int>() > 300);
  REQUIRE(found["proposals"].size() == 2);
  CHECK(found["caution"].get<std::string>().find("proves nothing about real ones") != std::string::npos);
  CHECK(bench.json("job show 1")["marks"].empty());
  const auto plain = bench("photo propose 1 2");
  CHECK(plain.out.find("None is marked.") != std::string::npos);
  CHECK(plain.out.find("U1.B4") != std::string::npos);
  CHECK(plain.out.find("U1.D13") != std::string::npos);
  CHECK(bench("photo accept 1 2 A1 torn").code == 1);  // nobody proposed it
  CHECK(bench("photo accept 1 2 B4 gone").code == 2);
  REQUIRE(bench("photo accept 1 2 B4 missing").code == 0);
  const auto marks = bench.json("job show 1")["marks"];
  REQUIRE(marks.size() == 1);
  CHECK(marks[0]["ball"] == "B4");
  CHECK(marks[0]["kind"] == "missing");
  CHECK(marks[0]["note"] == "photo 2");
  CHECK(bench.json("photo propose 1 2")["proposals"].size() == 2);
  CHECK(bench("undo 1").out.find("U1.B4 missing, as photo 2 shows it") != std::string::npos);
}
