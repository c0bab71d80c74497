// Lands unlike their neighbours, on rendered pictures with known damage. Rendered pictures prove nothing
// about real ones: the figures hold for these pictures only.
#include <iostream>

#include <doctest/doctest.h>

#include "tests/support/rendered_photo.hpp"

using namespace landfall;
using namespace landfall::photo;
using testing::Conditions;
using testing::RenderedPhoto;

namespace {

struct Tally {
  int right = 0, wrong = 0, overlooked = 0, not_seen = 0;
  [[nodiscard]] double precision() const { return right + wrong == 0 ? 1 : 1.0 * right / (right + wrong); }
  [[nodiscard]] double recall() const {
    return right + overlooked == 0 ? 1 : 1.0 * right / (right + overlooked);
  }
};

Tally judged(const Conditions& conditions, unsigned first_seed, int pictures) {
  Tally tally;
  const auto patches = RenderedPhoto::patches();
  for (int n = 0; n < pictures; ++n) {
    RenderedPhoto rendered(first_seed + static_cast<unsigned>(n), conditions);
    const auto fitted = fit(rendered.clicks(1.5), std::nullopt, Side::kTop);
    REQUIRE(fitted.ok());
    const auto looks = unlike(rendered.picture(), *fitted, patches);
    for (std::size_t i = 0; i < looks.size(); ++i) {
      const bool proposed = looks[i].score >= kProposeFrom;
      if (looks[i].sight != Sight::kSeen && rendered.damaged(i)) ++tally.not_seen;
      if (proposed && rendered.damaged(i)) ++tally.right;
      if (proposed && !rendered.damaged(i)) ++tally.wrong;
      if (!proposed && rendered.damaged(i)) ++tally.overlooked;
    }
  }
  return tally;
}

}  // namespace

TEST_CASE(
    "precision and recall on rendered pictures under blur, glare, a slant and flux (they prove nothing "
    "about real ones)") {
  struct Case {
    const char* name;
    Conditions conditions;
    double precision, recall;  // floors: what was measured, less a margin
  };
  const std::vector<Case> cases{
      {"clean", {0.7, false, 0, false}, 0.9, 0.9}, {"blur of 2.5 pixels", {2.5, false, 0, false}, 0.9, 0.9},
      {"glare", {0.7, true, 0, false}, 0.9, 0.85}, {"slant", {0.7, false, 0.02, false}, 0.9, 0.9},
      {"flux", {0.7, false, 0, true}, 0.4, 0.6},   {"all of them", {2.0, true, 0.02, true}, 0.55, 0.5}};
  for (const Case& one : cases) {
    const Tally tally = judged(one.conditions, 1000, 4);
    std::cout << "rendered, " << one.name << ": precision " << tally.precision() << ", recall "
              << tally.recall() << " (" << tally.right << " right, " << tally.wrong << " wrong, "
              << tally.overlooked << " overlooked, of them " << tally.not_seen << " not seen)\n";
    CHECK(tally.precision() >= one.precision);
    CHECK(tally.recall() >= one.recall);
  }
}

TEST_CASE(
    "with nothing damaged hardly anything is proposed, few lands, small ones and those off the picture are "
    "none") {
  Picture plain;
  plain.width = 300;
  plain.height = 300;
  plain.rgb.assign(std::size_t{300} * 300 * 3, 120);
  const auto laid = fit({{{0, 0}, {0, 3'000'000}}, {{300, 0}, {3'000'000, 3'000'000}}, {{0, 300}, {0, 0}}},
                        FitKind::kSimilarity, Side::kTop);
  REQUIRE(laid.ok());
  std::vector<RoundPatch> patches{
      {{500'000, 500'000}, 100'000}, {{9'000'000, 0}, 100'000}, {{900'000, 900'000}, 20'000}};
  auto looks = unlike(plain, *laid, patches);
  CHECK(looks[0].sight == Sight::kSeen);
  CHECK(looks[1].sight == Sight::kOutside);
  CHECK(looks[2].sight == Sight::kSmall);
  CHECK(looks[0].score == 0);  // too few to compare with
  patches.clear();
  for (int i = 0; i < 25; ++i)
    patches.push_back({{500'000 + i % 5 * 500'000, 500'000 + i / 5 * 500'000}, 100'000});
  // One patch is painted: it stands out, and alone.
  for (int y = 140; y < 160; ++y) {
    for (int x = 140; x < 160; ++x) plain.rgb[static_cast<std::size_t>(y * 300 + x) * 3] = 30;
  }
  looks = unlike(plain, *laid, patches);
  for (std::size_t i = 0; i < looks.size(); ++i) CHECK((looks[i].score >= kProposeFrom) == (i == 12));
  // A third of them white with glare.
  for (std::size_t y = 0; y < 100; ++y) {
    for (std::size_t i = 0; i < 900; ++i) plain.rgb[y * 900 + i] = 255;
  }
  looks = unlike(plain, *laid, patches);
  CHECK(looks[24].sight == Sight::kGlare);
  CHECK(looks[24].score == 0);
}
