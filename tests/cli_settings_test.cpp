#include "tests/support/program.hpp"

using namespace landfall;

TEST_CASE("settings from a file: all of them, or none with the line that is wrong") {
  const testing::ProgramBench bench;
  const std::string good =
      bench.write("shop.txt", "# ours\nprice.repair 450  # with tax\n\nfee.decline 20\n");
  const auto kept = bench.json("settings --from " + good);
  REQUIRE(kept["settings"].size() == 2);
  CHECK(kept["settings"][0]["value"] == 450);
  const std::string bad = bench.write("bad.txt", "price.repair 5\nfee.decline -1e99\n");
  const auto refused = bench("settings --from " + bad);
  CHECK(refused.code == 3);
  CHECK(refused.out.find("bad.txt:2:13: fee.decline lies between") != std::string::npos);
  CHECK(bench.json("settings price.repair")["settings"][0]["value"] == 450);
  CHECK(bench("settings price.repair --from " + good).code == 2);
}
