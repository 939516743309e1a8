#pragma once

/// How exactly the steps of a stance's search meet the constraints.

#include "engine/posture/search.h"
#include "engine/posture/stance.h"

namespace steepwright::posture {

/// Tolerances of the inner steps are loose, those of the answer tight.
inline ContactParams final_contacts(const StanceParams& params, const RowOptions& rows) {
  ContactParams contacts = params.search.contacts;
  contacts.rows = rows;
  // Needed friction asks for balance to 1e-7 of the weight; over two limbs that is a matter of the plumb rows.
  contacts.contact_tolerance = rows.plumb ? 1e-9 : 1e-7;
  contacts.max_iterations = 30;
  return contacts;
}

inline SearchParams search_params(const StanceParams& params, const RowOptions& rows) {
  SearchParams search = params.search;
  search.contacts.rows = rows;
  search.contacts.contact_tolerance = 1e-5;
  search.contacts.max_iterations = 8;
  return search;
}

inline ContactParams start_contacts(const StanceParams& params, const RowOptions& rows) {
  ContactParams contacts = params.search.contacts;
  contacts.rows = rows;
  contacts.contact_tolerance = 1e-5;
  return contacts;
}

}  // namespace steepwright::posture
