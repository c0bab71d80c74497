// The tree of plain XML is the one that pugixml gives, to the last name, value and place.
#include <random>
#include <string>
#include <string_view>

#include <doctest/doctest.h>
#include <fmt/format.h>

#include "importers/text/xml_tree.hpp"

using namespace landfall;
using importers::XmlNode;
using importers::XmlTree;

namespace {

void write(const XmlNode& node, std::string& out) {
  out += fmt::format("<{} @{}", node.name(), node.offset());
  for (const auto* own = node.attributes_begin(); own != node.attributes_end(); ++own)
    out += fmt::format(" {}=[{}]", own->name(), own->value());
  for (const XmlNode& child : node.children()) write(child, out);
  out += ">";
}

std::string plain(std::string_view text) {
  XmlTree tree;
  std::string out;
  if (tree.read_plain(text, "LayerFeature", "Step")) write(tree.document(), out);
  return out;
}

std::string any(std::string_view text) {
  XmlTree tree;
  std::string out;
  if (tree.read_any(text, [](std::size_t offset) { return offset; })) write(tree.document(), out);
  return out;
}

constexpr std::string_view kFile =
    "<?xml version = '1.0' encoding = \"UTF-8\"?>\r\n<!-- <not> a tag -->\r\n"
    "<i:IPC-2581 revision=\"C\" xmlns:i='urn:x'>\n\t<Ecad><CadData>\n"
    "        <Step name=\"a&amp;b\t&#65;\r\n'\" name=\"second\" ><PadStack/>\n"
    "          <i:LayerFeature layerRef = 'T>\"P'  ><Set n=\"\"><Pad   p:x=\"1.5\"\n "
    "y='-2'/></Set\n></i:LayerFeature>\n"
    "          <LayerFeature/>\n        </Step>\n  </CadData></Ecad></i:IPC-2581>\n";

}  // namespace

TEST_CASE("plain XML is read without pugixml and as pugixml reads it") {
  CHECK(plain(kFile) == any(kFile));
  const std::string tree = plain(kFile);
  CHECK(tree.find("<Step @") != std::string::npos);
  CHECK(tree.find(" name=[a&b A '] name=[second]") != std::string::npos);
  CHECK(tree.find(" layerRef=[T>\"P]") != std::string::npos);
  CHECK(tree.find(fmt::format("<LayerFeature @{}", kFile.find("i:LayerFeature"))) != std::string::npos);
}

TEST_CASE("what is not plain is left to pugixml") {
  for (const std::string_view text : {"<a>text</a>",
                                      "<a><![CDATA[x]]></a>",
                                      "<a/><b/>",
                                      "<a><?pi?></a>",
                                      "<!DOCTYPE a><a/>",
                                      "<a b=\"1\"c=\"2\"/>",
                                      "<a></b>",
                                      "<a>",
                                      "<a b=1/>",
                                      "<a b/>",
                                      "<a / >",
                                      "< a/>",
                                      "<1/>",
                                      "",
                                      "<",
                                      "<>",
                                      "<a",
                                      "x<a/>",
                                      "<a/>x",
                                      "\xEF\xBB\xBF<a/>",
                                      "<?xml version=\"1.0\" encoding=\"iso-8859-1\"?><a/>",
                                      "<a><!--></a>-->",
                                      "<a b=\"\n/>",
                                      "<LayerFeature/>",
                                      "<a><b><c><d><LayerFeature/></d></c></b></a>"}) {
    CAPTURE(text);
    CHECK(plain(text).empty());
  }
  CHECK(plain(std::string_view("<a b=\"\0\"/>", 10)).empty());
  CHECK_FALSE(plain("<a><b><c><Step><LayerFeature/></Step></c></b></a>").empty());
  // Not deeper than 256, as for every XML that is read.
  const auto nested = [](int depth) {
    std::string text;
    for (int i = 0; i < depth; ++i) text += "<a>";
    for (int i = 0; i < depth; ++i) text += "</a>";
    return text;
  };
  CHECK_FALSE(plain(nested(256)).empty());
  CHECK(plain(nested(257)).empty());
}

TEST_CASE("text with bytes changed at random is not plain or is what pugixml reads") {
  std::mt19937 random(2581);
  const std::string_view signs("<>/\"'=&; :!?-\t\r\nax1\0", 21);
  int accepted = 0;
  for (int i = 0; i < 20'000; ++i) {
    std::string text(kFile);
    for (unsigned n = 0; n <= random() % 2; ++n) {
      const std::size_t at = random() % text.size();
      const char sign = signs[random() % signs.size()];
      switch (random() % 3) {
        case 0:
          text[at] = sign;
          break;
        case 1:
          text.insert(at, 1, sign);
          break;
        default:
          text.erase(at, 1 + random() % 3);
          break;
      }
    }
    const std::string own = plain(text);
    if (own.empty()) continue;
    ++accepted;
    CAPTURE(text);
    REQUIRE(own == any(text));
  }
  CHECK(accepted > 1'000);
}
