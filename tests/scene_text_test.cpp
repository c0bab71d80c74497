// What is shown of any text.
#include <doctest/doctest.h>

#include "viewer/scene/scene.hpp"

using namespace landfall;

TEST_CASE("text is shown with KiCad's escapes undone, and anything that only looks like one left alone") {
  CHECK(scene::clean_text("A{slash}B") == "A/B");
  CHECK(scene::clean_text("/cpu/{slash}{slash}RD{backslash}") == "/cpu///RD\\");
  CHECK(scene::clean_text("{space}x{tab}y{return}") == " x y ");
  CHECK(scene::clean_text("{lt}b{gt}") == "<b>");
  for (const char* same :
       {"~{CS}", "{", "{}", "{slash", "{SLASH}", "{x}", "a}b{", "~{A{B}}", "{backslashes}"})
    CHECK(scene::clean_text(same) == same);
  CHECK(scene::clean_text(std::string(100'000, '{')).size() == 100'000);
}
