#include "viewer/panels/grip_panel.h"

#include "engine/core/units.h"
#include "engine/io/quantities.h"
#include "engine/move/goals.h"
#include "viewer/panels/polar.h"
#include "viewer/panels/widgets.h"
#include "viewer/scene_view/timeline.h"

#include <fmt/format.h>
#include <imgui/imgui.h>

#include <cmath>

namespace steepwright::viewer {

namespace {

/// A hand that is on the surveyed site at the scrubbed instant.
struct HandThere {
  Limb limb = Limb::kLeftHand;
  Grip grip = Grip::kOpenHand;
  PresentPull pull;
};

// What a hand on the site pulls at this instant; none when no loaded hand is there.
std::optional<HandThere> find_hand(const PanelContext& context, const SurveyAnswer& answer) {
  const move::Scene& scene = context.document.scene();
  const MoveAnswer* solved = context.answer();
  if (solved == nullptr || solved->result->frames.empty()) return std::nullopt;
  if (static_cast<std::size_t>(answer.hold) >= scene.holds.size()) return std::nullopt;
  const move::PlacedHold& hold = scene.holds[static_cast<std::size_t>(answer.hold)];
  if (static_cast<std::size_t>(answer.site) >= hold.hold.sites.size()) return std::nullopt;
  const auto& frames = solved->result->frames;
  const move::Frame& frame = frames[find_moment(frames, context.ui.t).nearest()];
  for (const move::ContactResult& contact : frame.contacts) {
    const hold::Site& site = hold.hold.sites[static_cast<std::size_t>(answer.site)];
    if (!is_hand(contact.limb) || !contact.grip || !contact.is_loaded) continue;
    if (contact.hold != hold.name || contact.site != site.name) continue;
    move::LimbPlace place;
    place.hold = answer.hold;
    place.site = answer.site;
    const Vec3 f_S = move::find_site_pose(scene, place).R.transpose() * contact.f_C_W;
    HandThere there;
    there.limb = contact.limb;
    there.grip = *contact.grip;
    there.pull = {std::atan2(f_S.y(), f_S.z()), std::hypot(f_S.y(), f_S.z()), contact.capacity_use};
    return there;
  }
  return std::nullopt;
}

std::string newton_text(const std::optional<double>& force_N) {
  return force_N ? fmt::format("{:.0f}", *force_N) : std::string("slides");
}

void draw_table(const PanelContext& context, const grip::Survey& survey, std::optional<Grip> shown) {
  constexpr std::array<int, 3> kPulls_deg = {0, 20, 40};
  if (!ImGui::BeginTable("grips", 4, ImGuiTableFlags_RowBg | ImGuiTableFlags_SizingStretchProp)) return;
  ImGui::TableSetupColumn("N, pull outward by", ImGuiTableColumnFlags_None, 4.4F);
  for (const int deg : kPulls_deg)
    ImGui::TableSetupColumn(fmt::format("{}°", deg).c_str(), ImGuiTableColumnFlags_None, 1.0F);
  ImGui::TableHeadersRow();
  for (std::size_t row = 0; row < survey.grips.size(); ++row) {
    const grip::SurveyedGrip& grip = survey.grips[row];
    ImGui::TableNextRow();
    ImGui::TableNextColumn();
    const bool is_shown = shown == grip.grip;
    draw_line_sample(context, row, is_shown);
    ImGui::SameLine();
    ImGui::PushStyleColor(ImGuiCol_Text, is_shown ? context.palette.text : context.palette.faint_text);
    ImGui::TextUnformatted(std::string(name_of(grip.grip)).c_str());
    explain(
        "Most force of one hand with this grip, pulling straight against the floor or leaning outward. No force is "
        "without risk for fingers.");
    for (const int deg : kPulls_deg) {
      ImGui::TableNextColumn();
      // An outward pull is a force of the hold into the wall.
      ImGui::TextUnformatted(newton_text(grip::find_held_force(grip.set, rad_from_deg(deg))).c_str());
    }
    ImGui::PopStyleColor();
  }
  ImGui::EndTable();
  context.marks.note_last_item("grips.table");
}

}  // namespace

void draw_grips(const PanelContext& context) {
  const SurveyAnswer* answer = context.results.survey();
  const auto& holds = context.document.scene().holds;
  if (context.ui.hold < 0 || static_cast<std::size_t>(context.ui.hold) >= holds.size()) {
    return show_faint(context, "Click a hold in the picture to compare the grips on it.");
  }
  const move::PlacedHold& hold = holds[static_cast<std::size_t>(context.ui.hold)];
  const auto& sites = hold.hold.sites;
  const auto site = static_cast<std::size_t>(context.ui.site);
  show_value(context, "hold", sites.size() > 1 && site < sites.size() ? hold.name + ", " + sites[site].name : hold.name,
             "Whose grips are compared; choose another site in the tab 'Hold'.");
  if (site >= sites.size() || sites[site].grips.empty()) {
    return show_faint(context, "This site is for feet only.");
  }
  if (answer == nullptr || answer->hold != context.ui.hold || answer->site != context.ui.site) {
    ImGui::TextDisabled("being computed");
    return;
  }
  const grip::Survey& survey = *answer->survey;
  const auto there = find_hand(context, *answer);
  const std::optional<Grip> shown = there ? std::optional(there->grip) : std::nullopt;
  show_value(context, "friction", fmt::format("{:.2f}", survey.friction.hand_mu), "Of skin on this surface.");
  if (survey.judgement.forced) {
    show_wrapped(fmt::format("The shape forces: {}", name_of(*survey.judgement.forced)));
    show_faint(context, survey.judgement.forced_reason);
  }
  draw_table(context, survey, shown);
  const bool is_stale = answer->revision != context.document.revision();
  show_heading(context, is_stale ? "force held along each pull, before the last change" : "force held along each pull");
  draw_polar(context, survey, shown, there ? std::optional(there->pull) : std::nullopt);
  if (there) {
    show_value(context, std::string(long_name(there->limb)).c_str(),
               fmt::format("{:.0f} N, {:.0f}° out, {}", there->pull.force_N, deg_from_rad(there->pull.angle),
                           io::show_percent(there->pull.use)),
               "The pull of the hand that is on this site at the scrubbed instant: the coloured line.");
  }
  if (!answer->unmet_reference.empty()) show_faint(context, answer->unmet_reference);
}

}  // namespace steepwright::viewer
