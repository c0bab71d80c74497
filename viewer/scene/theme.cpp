#include "viewer/scene/theme.hpp"

#include <algorithm>
#include <cmath>

namespace landfall::scene {
namespace {

const Theme kDay{
    colour("#E8ECE9"),
    colour("#F7F8F5"),
    colour("#FFFFFF"),
    colour("#CFE0EA"),
    colour("#F5EED8"),
    colour("#EADFB9"),
    colour("#DDEBF2"),
    colour("#C7DFEA"),
    colour("#13212B"),
    colour("#45545D"),
    colour("#F7F8F5"),
    colour("#6C7A82"),
    colour("#C0C8C7"),
    colour("#0B5A8E"),
    colour("#B0005F"),
    colour("#0A6650"),
    colour("#875000"),
    colour("#A8281A"),
    {colour("#D9434F"), colour("#6C777F"), colour("#86679F"), colour("#0E34B0"), colour("#0A7BD3"),
     colour("#263D3A"), colour("#008A5C"), colour("#4D5F00"), colour("#5A3A22"), colour("#006A76"),
     colour("#9C7200"), colour("#6C777F"), colour("#45545D")},
    1.0};
const Theme kNight{
    colour("#0D1418"),
    colour("#141D22"),
    colour("#0A1013"),
    colour("#1F3947"),
    colour("#221D13"),
    colour("#372E1A"),
    colour("#0D212A"),
    colour("#143643"),
    colour("#D9DFDD"),
    colour("#9FADB1"),
    colour("#0D1418"),
    colour("#748389"),
    colour("#2C383E"),
    colour("#7CB8E6"),
    colour("#FF86C4"),
    colour("#63C2A3"),
    colour("#DDA64B"),
    colour("#FF8C78"),
    {colour("#F0653A"), colour("#89959B"), colour("#D0C6F8"), colour("#6A70EA"), colour("#2FA0F5"),
     colour("#BEE5E0"), colour("#37CE92"), colour("#92965D"), colour("#9A7461"), colour("#0F8796"),
     colour("#E6BB3A"), colour("#89959B"), colour("#9FADB1")},
    1.0};
const Theme kStrong{
    colour("#FFFFFF"),
    colour("#FFFFFF"),
    colour("#FFFFFF"),
    colour("#BFDDF0"),
    colour("#FFF7DC"),
    colour("#F3E1A4"),
    colour("#E3F2FB"),
    colour("#BFE0F2"),
    colour("#000000"),
    colour("#262D31"),
    colour("#FFFFFF"),
    colour("#3C464B"),
    colour("#858E93"),
    colour("#003F73"),
    colour("#94004F"),
    colour("#004A38"),
    colour("#5E3600"),
    colour("#8A0F05"),
    {colour("#CF2430"), colour("#5F676C"), colour("#7A608C"), colour("#002490"), colour("#006CBB"),
     colour("#051F21"), colour("#007A41"), colour("#303C00"), colour("#3A1C08"), colour("#00545F"),
     colour("#7A5200"), colour("#5F676C"), colour("#262D31")},
    1.5};

double linear(std::uint8_t channel) {
  const double c = channel / 255.0;
  return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
}

double luminance(Colour c) {
  return 0.2126 * linear(c.r) + 0.7152 * linear(c.g) + 0.0722 * linear(c.b);
}

}  // namespace

std::string_view word(ThemeName name) {
  switch (name) {
    case ThemeName::kDay:
      return "day";
    case ThemeName::kNight:
      return "night";
    case ThemeName::kStrong:
      return "strong";
  }
  return "";
}

const Theme& theme(ThemeName name) {
  switch (name) {
    case ThemeName::kDay:
      return kDay;
    case ThemeName::kNight:
      return kNight;
    case ThemeName::kStrong:
      return kStrong;
  }
  return kDay;
}

Colour mix(Colour top, Colour under, double share) {
  const auto blend = [share](std::uint8_t a, std::uint8_t b) {
    return static_cast<std::uint8_t>(std::lround(a * share + b * (1 - share)));
  };
  return {blend(top.r, under.r), blend(top.g, under.g), blend(top.b, under.b), 255};
}

double contrast(Colour a, Colour b) {
  const double x = luminance(a);
  const double y = luminance(b);
  return (std::max(x, y) + 0.05) / (std::min(x, y) + 0.05);
}

}  // namespace landfall::scene
