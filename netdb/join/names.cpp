#include "netdb/join/names.hpp"

#include <cctype>

namespace landfall::join {
namespace {

constexpr std::size_t kNetField = 14;

char capital(char c) {
  return static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
}

std::string capitals(std::string_view name) {
  std::string folded;
  for (std::size_t i = 0; i < name.size(); ++i) {
    const auto byte = static_cast<unsigned char>(name[i]);
    if ((byte & 0xC0U) == 0x80U) continue;  // the rest of a UTF-8 sign: one '?' for the whole
    folded += byte > 126 || byte <= 32 ? '?' : capital(name[i]);
  }
  return folded;
}

}  // namespace

std::string folded_net(std::string_view name) {
  std::string folded = capitals(name);
  if (folded.size() > kNetField) folded.erase(0, folded.size() - kNetField);
  return folded;
}

bool same_net_name(std::string_view a, std::string_view b) {
  if (a.starts_with('/')) a.remove_prefix(1);
  if (b.starts_with('/')) b.remove_prefix(1);
  if (a.size() != b.size()) return false;
  for (std::size_t i = 0; i < a.size(); ++i) {
    if (capital(a[i]) != capital(b[i])) return false;
  }
  return true;
}

bool is_cut_of(std::string_view cut, std::string_view full) {
  const std::string capital_cut = capitals(cut);
  const std::string capital_full = capitals(full);
  if (capital_full.ends_with(capital_cut) && capital_cut.size() >= kNetField) return true;
  if (capital_full.starts_with(capital_cut) && capital_cut.size() >= kNetField) return true;
  const auto mark = capital_cut.rfind('#');
  return mark != std::string::npos && mark > 0 &&
         capital_full.find(std::string_view(capital_cut).substr(0, mark)) != std::string::npos;
}

}  // namespace landfall::join
