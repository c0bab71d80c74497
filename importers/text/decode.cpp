#include "importers/text/decode.hpp"

#include <algorithm>
#include <array>
#include <cstdint>

namespace landfall::importers {
namespace {

void append(std::string& out, std::uint32_t sign) {
  if (sign == 0xA0 || sign == 0x2007 || sign == 0x202F) sign = ' ';
  if ((sign >= 0x2010 && sign <= 0x2015) || sign == 0x2212) sign = '-';
  if (sign == 0xFEFF) return;
  const auto put = [&](std::uint32_t byte) { out += static_cast<char>(byte); };
  if (sign < 0x80) {
    put(sign);
  } else if (sign < 0x800) {
    put(0xC0U | (sign >> 6U));
    put(0x80U | (sign & 0x3FU));
  } else if (sign < 0x10000) {
    put(0xE0U | (sign >> 12U));
    put(0x80U | ((sign >> 6U) & 0x3FU));
    put(0x80U | (sign & 0x3FU));
  } else {
    put(0xF0U | (sign >> 18U));
    put(0x80U | ((sign >> 12U) & 0x3FU));
    put(0x80U | ((sign >> 6U) & 0x3FU));
    put(0x80U | (sign & 0x3FU));
  }
}

std::uint32_t byte_at(std::string_view text, std::size_t i) {
  return static_cast<unsigned char>(text[i]);
}

bool decode_utf8(std::string_view text, std::string& out) {
  for (std::size_t i = 0; i < text.size();) {
    const std::uint32_t first = byte_at(text, i);
    std::size_t length = 1;
    std::uint32_t sign = first;
    if (first >= 0x80) {
      if (first >= 0xC2 && first < 0xE0) length = 2;
      if (first >= 0xE0 && first < 0xF0) length = 3;
      if (first >= 0xF0 && first < 0xF5) length = 4;
      if (length == 1 || i + length > text.size()) return false;
      sign = first & (0xFFU >> (length + 1));
      for (std::size_t k = 1; k < length; ++k) {
        const std::uint32_t next = byte_at(text, i + k);
        if ((next & 0xC0U) != 0x80U) return false;
        sign = (sign << 6U) | (next & 0x3FU);
      }
    }
    append(out, sign);
    i += length;
  }
  return true;
}

void decode_utf16(std::string_view text, bool big, std::string& out) {
  const auto unit = [&](std::size_t i) {
    const std::uint32_t a = byte_at(text, i);
    const std::uint32_t b = byte_at(text, i + 1);
    return big ? (a << 8U) | b : (b << 8U) | a;
  };
  for (std::size_t i = 0; i + 1 < text.size(); i += 2) {
    std::uint32_t sign = unit(i);
    if (sign >= 0xD800 && sign < 0xDC00 && i + 3 < text.size()) {
      const std::uint32_t low = unit(i + 2);
      if (low >= 0xDC00 && low < 0xE000) {
        sign = 0x10000U + ((sign - 0xD800U) << 10U) + (low - 0xDC00U);
        i += 2;
      }
    }
    if (sign >= 0xD800 && sign < 0xE000) sign = 0xFFFD;
    append(out, sign);
  }
}

void decode_windows(std::string_view text, std::string& out) {
  for (std::size_t i = 0; i < text.size(); ++i) {
    const std::uint32_t byte = byte_at(text, i);
    if (byte == 0x96 || byte == 0x97) {
      out += '-';
    } else if (byte == 0x91 || byte == 0x92) {
      out += '\'';
    } else if (byte == 0x93 || byte == 0x94) {
      out += '"';
    } else {
      append(out, byte);
    }
  }
}

// The byte of each pair that is NUL in plain text, 0 (big end first) or 1; -1: it is no UTF-16.
int nul_byte(std::string_view bytes) {
  constexpr std::size_t kHead = 4096;
  const std::size_t pairs = std::min(bytes.size(), kHead) / 2;
  if (pairs < 4) return -1;
  std::array<std::size_t, 2> nuls{};
  for (std::size_t i = 0; i < pairs * 2; ++i) nuls[i % 2] += bytes[i] == '\0' ? 1U : 0U;
  if (nuls[0] == 0 && nuls[1] * 10 >= pairs * 7) return 1;
  return nuls[1] == 0 && nuls[0] * 10 >= pairs * 7 ? 0 : -1;
}

}  // namespace

bool is_utf_16(std::string_view bytes) {
  return nul_byte(bytes) >= 0;
}

std::string decode_text(std::string_view bytes) {
  std::string out;
  out.reserve(bytes.size() + 16);
  if (bytes.starts_with("\xFF\xFE")) {
    decode_utf16(bytes.substr(2), false, out);
  } else if (bytes.starts_with("\xFE\xFF")) {
    decode_utf16(bytes.substr(2), true, out);
  } else if (const int nul = nul_byte(bytes); nul >= 0) {
    decode_utf16(bytes, nul == 0, out);
  } else {
    if (bytes.starts_with("\xEF\xBB\xBF")) bytes.remove_prefix(3);
    if (!decode_utf8(bytes, out)) {
      out.clear();
      decode_windows(bytes, out);
    }
  }
  std::string plain;
  plain.reserve(out.size());
  for (std::size_t i = 0; i < out.size(); ++i) {
    if (out[i] == '\f') {
      // Beside a line's end it ends no line: lines are counted as an editor counts them.
      const char next = i + 1 < out.size() ? out[i + 1] : '\n';
      if (!plain.empty() && plain.back() != '\n' && next != '\n' && next != '\r') plain += '\n';
    } else if (out[i] == '\v') {
      plain += ' ';
    } else if (out[i] != '\r') {
      plain += out[i];
    } else if (i + 1 >= out.size() || out[i + 1] != '\n') {
      plain += '\n';
    }
  }
  return plain;
}

}  // namespace landfall::importers
